"""Agreement of many, time to gone, and a season's levels, worked out with other people's libraries; JSON out.

Data are drawn from a fixed seed; the two published examples are in the Rust tests beside the core.
"""

import json
import random
import warnings
from importlib.metadata import version

import krippendorff
import numpy as np
import pandas as pd
from lifelines import KaplanMeierFitter
from lifelines.statistics import logrank_test
from lifelines.utils import median_survival_times
from statsmodels.regression.mixed_linear_model import MixedLM

warnings.filterwarnings("ignore")
rng = random.Random(1958)


def table():
    """Raters in columns, units in rows, some values missing."""
    raters, units, kinds = rng.randint(2, 9), rng.randint(3, 14), rng.randint(2, 5)
    lean = [rng.randint(1, kinds) for _ in range(units)]
    rows = [
        [None if rng.random() < 0.15 else lean[u] if rng.random() < 0.6 else rng.randint(1, kinds) for _ in range(raters)]
        for u in range(units)
    ]
    data = np.array([[np.nan if v is None else v for v in row] for row in rows], dtype=float).T
    return {"units": rows, "alpha": float(krippendorff.alpha(reliability_data=data, level_of_measurement="nominal"))}


def naming():
    """Members who each name up to three of the causes; a unit is a cause, a value named or not."""
    members, causes = rng.randint(2, 40), rng.randint(4, 20)
    weights = [rng.random() ** 3 for _ in range(causes)]
    answers = []
    for _ in range(members):
        picks = rng.choices(range(causes), weights, k=rng.randint(1, 3))
        answers.append(sorted(set(picks)))
    data = np.array([[1.0 if c in a else 0.0 for c in range(causes)] for a in answers])
    alpha = float(krippendorff.alpha(reliability_data=data, level_of_measurement="nominal"))
    return {"causes": causes, "answers": answers, "alpha": alpha}


def courses(scale):
    """Days to gone, with ties and censoring."""
    drawn = []
    for _ in range(rng.randint(5, 60)):
        gone, lost = rng.expovariate(1 / scale), rng.uniform(1, 60)
        drawn.append([float(max(1, round(min(gone, lost)))), gone <= lost])
    return drawn


def number(value):
    return float(value) if np.isfinite(value) else None


def curve(drawn):
    days, gone = [d for d, _ in drawn], [g for _, g in drawn]
    fit = KaplanMeierFitter().fit(days, gone)
    ends = fit.confidence_interval_survival_function_
    steps = [
        [float(day), float(fit.survival_function_.loc[day].iloc[0])] + [float(v) for v in ends.loc[day]]
        for day in sorted({d for d, g in drawn if g})
    ]
    low, high = (number(v) for v in median_survival_times(ends).iloc[0])
    return {"steps": steps, "median": [number(fit.median_survival_time_), low, high]}


def pair():
    one, two = courses(rng.uniform(8, 40)), courses(rng.uniform(8, 40))
    test = logrank_test(*[[d for d, _ in g] for g in (one, two)], *[[x for _, x in g] for g in (one, two)])
    return {
        "first": one, "second": two, "first_curve": curve(one), "second_curve": curve(two),
        "statistic": float(test.test_statistic), "p": float(test.p_value),
    }  # fmt: skip


def settled(value):
    """REML is found by steps: what follows the fourth decimal is the search's, not the model's."""
    return round(float(value), 4)


def season():
    """Members with the same number of marks each: the variance analysis and REML are then the same."""
    members, marks = rng.randint(6, 15), rng.randint(3, 6)
    rows = []
    for m in range(members):
        level = rng.gauss(40, 15)
        rows += [(m, rng.gauss(level, 12)) for _ in range(marks)]
    frame = pd.DataFrame(rows, columns=["member", "mark"])
    fit = MixedLM.from_formula("mark ~ 1", groups="member", data=frame).fit(reml=True, gtol=1e-12)
    levels = {m: float(fit.fe_params.iloc[0] + fit.random_effects[m].iloc[0]) for m in range(members)}
    return {
        "marks": [[mark for m, mark in rows if m == member] for member in range(members)],
        "mean": settled(fit.fe_params.iloc[0]), "within": settled(fit.scale), "between": settled(fit.cov_re.iloc[0, 0]),
        "levels": [settled(levels[m]) for m in range(members)],
    }  # fmt: skip


made_by = {name: version(name) for name in ("krippendorff", "lifelines", "statsmodels")}
out = {"made_by": made_by}
for name, draw, count in (("tables", table, 24), ("namings", naming, 24), ("pairs", pair, 16), ("seasons", season, 6)):
    out[name] = [draw() for _ in range(count)]
body = ",\n".join(
    f'"{key}": ' + (json.dumps(value) if key == "made_by" else "[\n" + ",\n".join(map(json.dumps, value)) + "\n]")
    for key, value in out.items()
)
print("{" + body + "}")
