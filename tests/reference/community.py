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
from scipy import stats
from sklearn.metrics import brier_score_loss
from statsmodels.formula.api import ols
from statsmodels.regression.mixed_linear_model import MixedLM
from statsmodels.stats.anova import anova_lm

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
    return {"causes": causes, "answers": answers, "alpha": alpha, "interval": interval(data)}


def interval(data):
    """SciPy's percentile bootstrap of krippendorff's alpha, members drawn anew; none for a handful."""
    members = len(data)
    if members < 15:
        return None

    def alpha(drawn):
        named = data[drawn.astype(int)].sum(axis=0)
        counts = np.column_stack([members - named, named])
        return krippendorff.alpha(value_counts=counts, level_of_measurement="nominal")

    drawn = stats.bootstrap(
        (np.arange(members),), alpha, n_resamples=4000, vectorized=False, method="percentile",
        rng=np.random.default_rng(members),
    )  # fmt: skip
    return [float(v) for v in drawn.confidence_interval]


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
    censored = [
        stats.CensoredData.right_censored([d for d, _ in g], [not x for _, x in g]) for g in (one, two)
    ]
    return {
        "first": one, "second": two, "first_curve": curve(one), "second_curve": curve(two),
        "statistic": float(test.test_statistic), "p": float(test.p_value),
        "p_scipy": float(stats.logrank(*censored).pvalue),
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


def unequal():
    """Members with different numbers of marks: spreads from the table of variances (Searle, Casella and
    McCulloch 1992, section 3.6), levels from Henderson's mixed model equations, solved as they stand."""
    rows = []
    for m in range(rng.randint(6, 15)):
        level = rng.gauss(40, 20)
        rows += [(m, rng.gauss(level, 12)) for _ in range(rng.randint(1, 8))]
    frame = pd.DataFrame(rows, columns=["member", "mark"])
    table = anova_lm(ols("mark ~ C(member)", data=frame).fit())
    counts = frame.groupby("member").size().to_numpy(dtype=float)
    usual = (counts.sum() - (counts**2).sum() / counts.sum()) / (len(counts) - 1)
    within = float(table["mean_sq"]["Residual"])
    between = max(0.0, (float(table["mean_sq"]["C(member)"]) - within) / usual)
    marks = [[mark for m, mark in rows if m == member] for member in range(len(counts))]
    if between <= 0:
        return unequal()
    z = np.array([[float(m == member) for member in range(len(counts))] for m, _ in rows])
    x, y = np.ones((len(rows), 1)), frame["mark"].to_numpy()
    left = np.block([[x.T @ x, x.T @ z], [z.T @ x, z.T @ z + np.eye(len(counts)) * within / between]])
    solved = np.linalg.solve(left, np.concatenate([x.T @ y, z.T @ y]))
    levels = [float(solved[0] + of_member) for of_member in solved[1:]]
    return {"marks": marks, "mean": float(solved[0]), "within": within, "between": between, "levels": levels}


def answer():
    """An answer with stated and implied confidences against a verdict: the gain in scikit-learn's Brier
    score over naming nothing (5 % for each cause), summed over the causes, in points of a hundred."""
    causes = rng.randint(4, 20)
    named = rng.sample(range(causes), rng.randint(1, 3))
    said = [rng.choice([None, rng.randint(0, 100) / 100]) for _ in named]
    truth = rng.sample(range(causes), rng.randint(0, 3))
    forecast = np.full(causes, 0.05)
    for place, (cause, sure) in enumerate(zip(named, said)):
        forecast[cause] = (0.6, 0.3, 0.15)[place] if sure is None else sure
    there = np.isin(np.arange(causes), truth).astype(int)
    lost = [brier_score_loss(there, p, pos_label=1) for p in (np.full(causes, 0.05), forecast)]
    return {"named": named, "said": said, "truth": truth, "points": 100 * causes * float(lost[0] - lost[1])}


made_by = {name: version(name) for name in ("krippendorff", "lifelines", "scikit-learn", "scipy", "statsmodels")}
out = {"made_by": made_by}
drawn = (
    ("tables", table, 24), ("namings", naming, 24), ("pairs", pair, 16), ("seasons", season, 6),
    ("unequal", unequal, 8), ("answers", answer, 40),
)  # fmt: skip
for name, draw, count in drawn:
    out[name] = [draw() for _ in range(count)]
body = ",\n".join(
    f'"{key}": ' + (json.dumps(value) if key == "made_by" else "[\n" + ",\n".join(map(json.dumps, value)) + "\n]")
    for key, value in out.items()
)
print("{" + body + "}")
