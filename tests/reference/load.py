"""Best singles, intervals and units, worked out with NumPy, SciPy and Pint; JSON on standard output."""

import json
from importlib.metadata import version

import numpy as np
import pint
from scipy import optimize, special, stats

# Multiples of the load for R repetitions to failure, as usually printed (from memory of the papers).
FORMULAS = {
    "Epley 1985": lambda r: 1 + r / 30,
    "Brzycki 1993": lambda r: 36 / (37 - r),
    "Lander 1985": lambda r: 100 / (101.3 - 2.67123 * r),
    "Lombardi 1989": lambda r: np.power(r, 0.10),
    "Mayhew et al. 1992": lambda r: 100 / (52.2 + 41.9 * np.exp(-0.055 * r)),
    "O'Conner et al. 1989": lambda r: 1 + 0.025 * r,
    "Wathan 1994": lambda r: 100 / (48.8 + 53.8 * np.exp(-0.075 * r)),
}
# Repetitions left for an RPE (Zourdos et al. 2016; half points and rows below 7 from memory).
LEFT = {10: (0, 0), 9.5: (0.5, 0.5), 9: (1, 1), 8.5: (1, 2), 8: (2, 2), 7.5: (2, 3), 7: (3, 3), 6.5: (3, 4), 6: (4, 6)}
UNITS = pint.UnitRegistry()
LB = UNITS.Quantity(1, "pound").to("kilogram").magnitude
Z80 = stats.norm.ppf(0.9)


def average(r):
    """Geometric mean of the seven, each divided by what it wrongly gives at one repetition."""
    r = float(r)
    return stats.gmean([m(r) / m(1.0) ** np.exp(-(r - 1) / 2) for m in FORMULAS.values()])


def slope(r):
    """Mean rise of the logarithm of the average over half a repetition either way, from 1 up."""
    low, high = max(r - 0.5, 1.0), r + 0.5
    return np.log(average(high) / average(low)) / (high - low)


def formula_sigma(r):
    return np.linalg.norm([0.015, 0.0075 * (r - 1)])


def observe(case):
    """Load in kg, multiple and log spread of one set."""
    if case["fails"]:
        low = high = judged = 0.0
    else:
        low, high = case["left"]
        # The line through 0.8 repetitions at one left and 1.2 at three; half as much again for novices.
        judged = np.polyval(np.polyfit([1, 3], [0.8, 1.2], 1), (low + high) / 2)
        judged *= 1.5 if case["months"] is not None and case["months"] < 12 else 1
    total = case["reps"] + (low + high) / 2
    spread = stats.uniform(low, high - low).std() if high > low else 0.0
    sigma = np.linalg.norm([formula_sigma(total), slope(total) * np.linalg.norm([judged, spread])])
    load = case["load"] * (LB if case["unit"] == "lb" else 1.0)
    return load, average(total), sigma


def estimate(case):
    """Point, ends and spread, weighed against the best single if one is named."""
    load, multiple, sigma = observe(case)
    level = np.log(load * multiple)
    best = case["best"]
    if best is not None:
        value, dated = best
        of_best = np.linalg.norm([0.015, 0.025]) if dated else 0.06
        seen = np.array([level, np.log(value * (LB if case["unit"] == "lb" else 1.0))])
        weights = 1 / np.square([sigma, of_best])
        level = np.average(seen, weights=weights)
        # Birge 1932: chi-squared per degree of freedom widens, never narrows.
        birge = np.sqrt(np.sum(weights * (seen - level) ** 2))
        sigma = max(1.0, birge) / np.sqrt(weights.sum())
    upward = 1.5 if case["lift"] == "deadlift" else 1.0
    low, high = np.exp(level - Z80 * sigma), np.exp(level + Z80 * upward * sigma)
    kg = max(np.exp(level), load)
    return {"kg": kg, "low_kg": max(low, load), "high_kg": max(high, load), "sigma": sigma}


def report(case):
    """The same set as a set report."""
    said = {"lift": case["lift"], "load": {"value": case["load"], "unit": case["unit"]}, "reps": case["reps"]}
    if case["fails"]:
        said["missed"] = {"reps": 1}
    else:
        low, high = case["rpe"]
        said["effort"] = {"rpe": low if low == high else [low, high]}
    if case["months"] is not None:
        said["training_months"] = case["months"]
    if case["best"] is not None:
        value, dated = case["best"]
        said["best"] = {"value": value, "unit": case["unit"]}
        if dated:
            said["best"] |= {"date": "2026-03-01", "tested": True}
    return said


def sets():
    """Sets over lifts, units, efforts and best singles."""
    rows = [
        # lift, load, unit, reps, RPE (None: failed), months, best (value, lifted and dated)
        ("squat", 340, "lb", 1, None, None, None),
        ("squat", 340, "lb", 1, 9.5, None, None),
        ("squat", 365, "lb", 1, 8, None, None),
        ("squat", 330, "lb", 3, None, None, None),
        ("bench", 330, "lb", 3, 9, None, None),
        ("squat", 330, "lb", 3, (8, 9), None, None),
        ("squat", 330, "lb", 3, 8.5, 60, None),
        ("squat", 200, "lb", 3, 8, 6, None),
        ("bench", 102.5, "kg", 5, 7, None, None),
        ("bench", 60, "kg", 8, 6.5, 3, None),
        ("squat", 315, "lb", 8, 8, 11, None),
        ("squat", 315, "lb", 8, None, 12, None),
        ("bench", 100, "kg", 10, None, None, None),
        ("deadlift", 180, "kg", 5, 8, None, None),
        ("deadlift", 405, "lb", 3, 7.5, None, (455, False)),
        ("squat", 330, "lb", 3, (8, 9), None, (380, True)),
        ("squat", 330, "lb", 3, (8, 9), None, (380, False)),
        ("squat", 330, "lb", 3, (8, 9), None, (400, True)),
        ("bench", 80, "kg", 5, 6, None, (100, False)),
    ]
    for lift, load, unit, reps, rpe, months, best in rows:
        ends = rpe if isinstance(rpe, tuple) else (rpe, rpe)
        left = None if rpe is None else (LEFT[ends[1]][0], LEFT[ends[0]][1])
        yield {
            "lift": lift, "load": load, "unit": unit, "reps": reps, "fails": rpe is None,
            "rpe": ends, "left": left, "months": months, "best": best,
        }  # fmt: skip


def mix_up(difference, spread, labelled):
    """Bayes' rule for two normal laws of equal spread, one at 0 and one moved by the unit."""
    moved = np.log(1 / LB) * (1 if labelled == "kg" else -1)
    law = lambda at: stats.norm.logpdf(difference, at, spread)
    return special.expit(special.logit(0.02) + law(moved) - law(0))


def plain(value):
    """NumPy's numbers as Python's own."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    return value.item() if isinstance(value, np.generic) else value


grid = [1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7, 7.5, 8, 8.5, 9, 9.5, 10, 11, 12, 13, 14, 15]
inverse = [(500, 470), (500, 434.4489), (160, 120), (142.5, 100), (315, 315), (220, 150), (100, 68)]
PINT = {"in": "inch"}
doubts = [(0.4723, 0.1, "kg"), (-0.45, 0.12, "lb"), (0.7, 0.1, "kg"), (0.1, 0.2, "lb"), (0.0, 0.3, "kg")]
lengths = [(71, "in"), (180, "cm"), (1.825, "m")]
parts = {
    "made_by": ", ".join(f"{name} {version(name)}" for name in ["numpy", "scipy", "pint"]),
    "kg_per_lb": LB,
    "lengths": [{"value": v, "unit": u, "metres": UNITS.Quantity(v, PINT.get(u, u)).to("m").magnitude}
                for v, u in lengths],
    "formulas": [{"name": name, "multiples": [f(float(r)) for r in grid]} for name, f in FORMULAS.items()],
    "average": [{"reps": r, "multiple": average(r), "slope": slope(r), "sigma": formula_sigma(r)} for r in grid],
    "inverse": [{"best": b, "load": w, "reps": optimize.brentq(lambda r: average(r) - b / w, 1, 15, xtol=1e-13)}
                for b, w in inverse],
    "sets": [{"report": report(case), "estimate": estimate(case)} for case in sets()],
    "mix_ups": [{"difference": d, "spread": s, "labelled": u, "probability": mix_up(d, s, u)} for d, s, u in doubts],
}

# One figure or case a line, so that a change reads well.
lines = lambda part: ",\n".join(json.dumps(plain(item)) for item in part)
blocks = [
    f'"{name}": [\n{lines(part)}\n]' if isinstance(part, list) else f'"{name}": {json.dumps(plain(part))}'
    for name, part in parts.items()
]
print("{" + ",\n".join(blocks) + "}")
