"""Forecasts against what came about, scored with scikit-learn and statsmodels; JSON on standard output."""

import json
from importlib.metadata import version

import numpy as np
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss
from statsmodels.stats.proportion import proportion_confint

BINS = 10
RANDOM = np.random.Generator(np.random.PCG64(19730401))


def scored(p, y):
    """Every figure of one sample."""
    observed, mean = calibration_curve(y, p, n_bins=BINS, strategy="uniform")
    # Which bin each belongs to, as calibration_curve has it; it leaves empty bins out.
    place = np.searchsorted(np.linspace(0, 1, BINS + 1)[1:-1], p)
    counts = np.bincount(place, minlength=BINS)
    full = counts > 0
    weights = counts[full] / len(p)
    overall = y.mean()
    return {
        "probability": p.tolist(),
        "happened": y.astype(bool).tolist(),
        "brier": float(brier_score_loss(y, p)),
        "log_score": float(log_loss(y, p, labels=[0, 1])),
        "counts": counts.tolist(),
        "mean": mean.tolist(),
        "observed": observed.tolist(),
        # Murphy 1973 over the bins that calibration_curve found.
        "reliability": float(np.sum(weights * (mean - observed) ** 2)),
        "resolution": float(np.sum(weights * (observed - overall) ** 2)),
        "uncertainty": float(overall * (1 - overall)),
    }


def samples():
    """Well and badly calibrated forecasts, rare events, certain ones; the last have one value a bin."""
    for size, skew in [(40, 1.0), (200, 1.0), (500, 0.6), (500, 1.7), (30, 3.0)]:
        p = np.round(RANDOM.beta(0.6, 2.5, size=size), 6)
        yield p, (RANDOM.uniform(size=size) < p**skew).astype(int)
    p = np.concatenate([np.zeros(5), np.ones(4), RANDOM.uniform(size=20)])
    yield p, np.concatenate([[0, 0, 0, 0, 1], [1, 1, 1, 0], RANDOM.integers(0, 2, size=20)])
    p = RANDOM.choice([0.05, 0.15, 0.35, 0.55, 0.95], size=120)
    yield p, (RANDOM.uniform(size=120) < p).astype(int)


shares = [(0, 1), (1, 1), (0, 7), (3, 7), (7, 7), (1, 40), (20, 40), (39, 40), (81, 263), (500, 1000)]
wilson = [[k, n, *(float(end) for end in proportion_confint(k, n, 0.05, method="wilson"))] for k, n in shares]
made_by = ", ".join(f"{name} {version(name)}" for name in ["numpy", "scikit-learn", "statsmodels"])
lines = ",\n".join(json.dumps(scored(p, y)) for p, y in samples())
print(f'{{"made_by": "{made_by}",\n"wilson": {json.dumps(wilson)},\n"samples": [\n{lines}\n]}}')
