"""Levels over time, time to a goal, velocity lines and scores with NumPy, SciPy and statsmodels; JSON on standard output."""

import json
import warnings
from importlib.metadata import version

import numpy as np
from scipy import integrate, special, stats
from statsmodels.tsa.statespace.structural import UnobservedComponents

WEEKS = 52.1775
WANDER = 0.007**2
RANDOM = np.random.Generator(np.random.PCG64(20260302))


def levels():
    """Local level by statsmodels; gaps of several weeks are weeks without an observation."""
    out = []
    for case in range(6):
        weeks = np.concatenate([[0], np.cumsum(RANDOM.integers(1, 6, size=9))])
        sigma = np.round(RANDOM.uniform(0.015, 0.06), 4)
        start = float(np.round(RANDOM.uniform(80, 250), 1))
        kg = np.round(start * np.exp(RANDOM.normal(0, 0.03, size=10)), 1)
        series = np.full(weeks[-1] + 1, np.nan)
        series[weeks] = np.log(kg)
        model = UnobservedComponents(series, "local level")
        model.ssm.initialize_known(np.array([np.log(start)]), np.array([[0.01]]))
        result = model.filter([sigma**2 + 0.025**2, WANDER])
        smooth = model.smooth([sigma**2 + 0.025**2, WANDER])
        out.append(
            {
                "start": start,
                "sigma": float(sigma),
                "weeks": weeks.tolist(),
                "kg": kg.tolist(),
                "ln_level": result.filtered_state[0, weeks].tolist(),
                "variance": result.filtered_state_cov[0, 0, weeks].tolist(),
                # Of the fourth report, in the light of all that came later.
                "ln_smoothed": float(smooth.smoothed_state[0, weeks[3]]),
            }
        )
    return out


def goals():
    """First passage: the inverse Gaussian of SciPy."""
    out = []
    for rate in (0.02, 0.05, 0.10, 0.20, 0.35):
        for rise in (1.02, 1.1, 400 / 340, 1.5):
            drift, distance = np.log1p(rate) / WEEKS, np.log(rise)
            shape = distance**2 / WANDER
            law = stats.invgauss(mu=distance / drift / shape, scale=shape)
            weeks = [1.0, 8.0, 26.0, WEEKS, 3 * WEEKS, 10 * WEEKS]
            out.append(
                {
                    "distance": distance,
                    "drift": drift,
                    "mean": law.mean(),
                    "sd": law.std(),
                    "weeks": weeks,
                    "within": law.cdf(weeks).tolist(),
                    "quantiles": law.ppf([0.1, 0.5, 0.9]).tolist(),
                }
            )
    return out


def unsure_goals():
    """The same averaged over a normal drift, by SciPy's adaptive quadrature."""
    out = []
    least = 0.005 / WEEKS
    for mean, sd, rise in ((np.log(1.1), 0.04, 400 / 340), (0.04, 0.03, 1.05), (0.25, 0.12, 1.3)):
        drift, spread, distance = mean / WEEKS, sd / WEEKS, np.log(rise)
        shape = distance**2 / WANDER

        def within(weeks):
            def given(mu):
                return stats.invgauss.cdf(weeks, distance / mu / shape, scale=shape)

            below = stats.norm.cdf(least, drift, spread) * given(least)
            above = integrate.quad(
                lambda mu: given(mu) * stats.norm.pdf(mu, drift, spread),
                least,
                drift + 8 * spread,
                points=[drift],
                epsabs=1e-11,
            )[0]
            return below + above

        weeks = [13.0, 44.5, 82.3, 203.0, 5 * WEEKS]
        out.append(
            {
                "mean": mean,
                "sd": sd,
                "distance": distance,
                "weeks": weeks,
                "within": [round(within(w), 9) for w in weeks],
            }
        )
    return out


def lines():
    """Load against velocity by numpy.polyfit."""
    out = []
    sets = [((140, 160, 180, 200), (0.52, 0.43, 0.33, 0.24))]
    for count in (4, 5, 6, 8):
        velocity = np.round(np.linspace(1.0, 0.35, count) + RANDOM.normal(0, 0.01, count), 3)
        kg = np.round(180 - 110 * velocity + RANDOM.normal(0, 1.5, count), 1)
        sets.append((tuple(kg.tolist()), tuple(velocity.tolist())))
    for kg, velocity in sets:
        slope, rest = np.polyfit(velocity, kg, 1)
        out.append(
            {
                "kg": kg,
                "velocity": velocity,
                "at_rest": rest,
                "slope": slope,
                "r2": stats.linregress(velocity, kg).rvalue ** 2,
            }
        )
    return out


# Men and women; coefficients from the highest power down, as in an open results archive.
DOTS = {
    "men": ([-0.0000010930, 0.0007391293, -0.1918759221, 24.0900756, -307.75076], 40, 210),
    "women": ([-0.0000010706, 0.0005158568, -0.1126655495, 13.6175032, -57.96288], 40, 150),
}


def scores():
    out = []
    for who, (coefficients, least, most) in DOTS.items():
        for body in (35, 40, 57, 83, 120, 149, 180, 230):
            bottom = np.polyval(coefficients, np.clip(body, least, most))
            out.append({"who": who, "body": body, "dots_of_600": 500 * 600 / bottom})
    return out


def normal():
    z = np.linspace(-12, 8, 81)
    return {"z": z.tolist(), "cdf": special.ndtr(z).tolist()}


made_by = ", ".join(f"{name} {version(name)}" for name in ("numpy", "scipy", "statsmodels"))
with warnings.catch_warnings():
    # statsmodels warns about series without dates.
    warnings.simplefilter("ignore")
    tables = {made.__name__: made() for made in (levels, goals, unsure_goals, lines, scores)}
print(f'{{"made_by": {json.dumps(made_by)},')
for name, rows in tables.items():
    print(f'"{name}": [\n' + ",\n".join(json.dumps(row) for row in rows) + "\n],")
print(f'"normal": {json.dumps(normal())}}}')
