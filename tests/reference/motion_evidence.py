"""Probabilities and angle errors of measured signs with SciPy and NumPy; JSON on standard output."""

import json
from importlib.metadata import version

import numpy as np
from scipy import optimize, stats
from statsmodels.stats.proportion import proportion_confint


def probabilities():
    """Share of a normal law beyond a limit."""
    return [
        {"value": value, "limit": limit, "error": error, "above": float(stats.norm.sf(limit, value, error))}
        for value, limit, error in [(8, 10, 3), (10, 10, 3), (12, 10, 3), (15, 10, 3), (-0.03, 0, 0.047), (1.2, 1.1, 0.08)]
    ]


def ratios():
    """Log likelihood ratios of two normal laws, and what they make of a prior."""
    out = []
    for value, error, mean1, mean0, spread in [(-5, 2, 8, -8, 5), (0, 2, 8, -8, 5), (3, 2, 8, -8, 5), (8, 2, 8, -8, 5)]:
        wide = np.hypot(spread, error)
        ratio = float(stats.norm.logpdf(value, mean1, wide) - stats.norm.logpdf(value, mean0, wide))
        odds = 0.2 / 0.8 * np.exp(ratio)
        out.append(
            {
                "value": value,
                "error": error,
                "with": mean1,
                "without": mean0,
                "spread": spread,
                "ratio": ratio,
                "posterior": float(odds / (1 + odds)),
            }
        )
    return out


def angle(points):
    """Angle at the second of three points, radians."""
    one, middle, other = np.reshape(points, (3, 2))
    a, b = one - middle, other - middle
    return np.arctan2(abs(a[0] * b[1] - a[1] * b[0]), a @ b)


def angles():
    """Errors of the angle at the middle of three points, by the numerical gradient of the angle itself."""
    out = []
    for near, far, degrees, errors in [
        (0.4305, 0.42875, 80, [0.01, 0.01, 0.01]),
        (0.4305, 0.42875, 80, [0.01, 0.03, 0.03]),
        (0.504, 0.42875, 150, [0.02, 0.03, 0.03]),
        (0.3255, 0.2555, 165, [0.02, 0.02, 0.02]),
    ]:
        turn = np.radians(degrees)
        points = np.array([near, 0, 0, 0, far * np.cos(turn), far * np.sin(turn)])
        slopes = optimize.approx_fprime(points, angle, 1e-7)
        error = float(np.sqrt(np.sum((slopes * np.repeat(errors, 2)) ** 2)))
        # The gradient is numerical: more digits than these are not its own.
        out.append({"near": near, "far": far, "degrees": degrees, "errors": errors, "error": round(error, 6)})
    return out


def intervals():
    """Wilson's interval of a share."""
    out = []
    for hits, of in [(114, 120), (120, 120), (0, 120)]:
        low, high = proportion_confint(hits, of, method="wilson")
        out.append({"hits": hits, "of": of, "low": float(low), "high": float(high)})
    return out


print(
    json.dumps(
        {
            "made_with": {name: version(name) for name in ("numpy", "scipy", "statsmodels")},
            "probabilities": probabilities(),
            "ratios": ratios(),
            "angles": angles(),
            "intervals": intervals(),
        },
        indent=1,
    )
)
