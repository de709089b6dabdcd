"""Random noisy-OR networks and their posteriors, worked out with pgmpy; JSON on standard output.

A cause is there by its prior or because a cause further up brings it about; a sign is there by its leak or
because a cause shows it (Pearl 1988, section 4.3). Soft evidence is a witness: a child of the sign that says
yes with probability p when it is there and 1 - p when it is not (Pearl 1988, section 2.2.2).
"""

import itertools
import json
import pathlib
import random
import tomllib
from importlib.metadata import version

import numpy as np
from pgmpy.factors.discrete import TabularCPD
from pgmpy.inference import VariableElimination
from pgmpy.models import DiscreteBayesianNetwork

# The words of a catalog and the shares they stand for.
PRIORS = {"rare": 0.02, "occasional": 0.065, "common": 0.175, "very-common": 0.35}
STRENGTHS = {"seldom": 0.1, "sometimes": 0.3, "often": 0.6, "nearly-always": 0.9}
SEED = 1988
NETWORKS = 48
# Sets drawn for each lift of the catalog as it stands.
SETS = 4
LEAK = 0.06
LINK = 0.05
CATALOG = pathlib.Path(__file__).parents[2] / "config" / "catalog"


def noisy_or(name, leak, parents):
    """The table of a node that stays away only if its leak and every parent there fail."""
    away = np.array([
        (1 - leak) * np.prod([1 - strength for (_, strength), there in zip(parents, states) if there])
        for states in itertools.product([0, 1], repeat=len(parents))
    ])  # fmt: skip
    ids = [parent for parent, _ in parents]
    return TabularCPD(name, 2, [away, 1 - away], evidence=ids or None, evidence_card=[2] * len(ids) or None)


def draw(rng):
    """One network as a catalog would have it, and findings."""
    causes = [f"c-{n}" for n in range(rng.randint(2, 9))]
    signs = [{"id": f"s-{n}", "leak": rng.randint(5, 300) / 1000} for n in range(rng.randint(2, 9))]
    book = []
    for at, name in enumerate(causes):
        shown = sorted(s["id"] for s in rng.sample(signs, rng.randint(1, min(4, len(signs)))))
        down = causes[at + 1 :]
        feeds = sorted(rng.sample(down, min(len(down), rng.choice([0, 0, 1, 2]))))
        shows = [[sign, rng.choice(list(STRENGTHS))] for sign in shown]
        book.append({"id": name, "prior": rng.choice(list(PRIORS)), "shows": shows, "feeds": feeds})
    findings = []
    for sign in signs:
        kind = rng.choice(["unknown", "seen", "absent", "soft", "soft", "two witnesses"])
        if kind in ("seen", "absent"):
            findings.append({"sign": sign["id"], "probability": float(kind == "seen"), "from": "ticked"})
        origins = {"soft": ["measured"], "two witnesses": ["words", "measured"]}.get(kind, [])
        # A single hundredth short of certain, where the core stops trusting one of several witnesses.
        findings += [{"sign": sign["id"], "probability": rng.randint(2, 98) / 100, "from": o} for o in origins]
    return {"link": rng.randint(10, 400) / 1000, "causes": book, "signs": signs, "findings": findings}


def catalog(lift, rng):
    """One lift of the catalog as its files have it, and findings."""
    book = {name: tomllib.loads((CATALOG / f"{lift}-{name}s.toml").read_text()) for name in ("sign", "cause")}
    signs = [sign for sign in book["sign"]["sign"] if not sign.get("pain")]
    known = {sign["id"] for sign in signs}
    causes = [
        {
            "id": cause["id"],
            "prior": cause["prior"],
            "shows": [show for show in cause["shows"] if show[0] in known],
            "feeds": cause.get("feeds", []),
        }
        for cause in book["cause"]["cause"]
    ]
    findings = []
    for sign in rng.sample(sorted(known), 9):
        kind = rng.choice(["seen", "absent", "soft"])
        soft = kind == "soft"
        probability = rng.randint(2, 98) / 100 if soft else float(kind == "seen")
        findings.append({"sign": sign, "probability": probability, "from": "measured" if soft else "ticked"})
    found = {finding["sign"] for finding in findings}
    leaks = [{"id": sign["id"], "leak": sign.get("leak", LEAK)} for sign in signs if sign["id"] in found]
    # A sign nobody looked for is unknown: it sums to one whatever the causes are.
    for cause in causes:
        cause["shows"] = [show for show in cause["shows"] if show[0] in found]
    return {"lift": lift, "link": LINK, "causes": causes, "signs": leaks, "findings": findings}


def posterior(network, rng):
    """The probability of every cause, and of two pairs of causes together, given all findings."""
    model = DiscreteBayesianNetwork()
    model.add_nodes_from([node["id"] for node in network["causes"] + network["signs"]])
    tables, evidence = [], {}
    for cause in network["causes"]:
        up = [(c["id"], network["link"]) for c in network["causes"] if cause["id"] in c["feeds"]]
        tables.append(noisy_or(cause["id"], PRIORS[cause["prior"]], up))
    for sign in network["signs"]:
        up = [(c["id"], STRENGTHS[word]) for c in network["causes"] for s, word in c["shows"] if s == sign["id"]]
        tables.append(noisy_or(sign["id"], sign["leak"], up))
    for at, finding in enumerate(network["findings"]):
        sign, says_yes = finding["sign"], finding["probability"]
        if says_yes in (0.0, 1.0):
            evidence[sign] = int(says_yes)
        else:
            table = [[says_yes, 1 - says_yes], [1 - says_yes, says_yes]]
            tables.append(TabularCPD(f"w-{at}", 2, table, evidence=[sign], evidence_card=[2]))
            evidence[f"w-{at}"] = 1
    model.add_nodes_from([table.variable for table in tables])
    model.add_edges_from((up, t.variable) for t in tables for up in t.variables[1:])
    model.add_cpds(*tables)
    model.check_model()
    inference = VariableElimination(model)
    names = [cause["id"] for cause in network["causes"]]
    found = {name: inference.query([name], evidence=evidence, show_progress=False) for name in names}
    network["posterior"] = {name: float(factor.get_value(**{name: 1})) for name, factor in found.items()}
    network["joint"] = []
    for _ in range(2):
        one, two = rng.sample(names, 2)
        both = inference.query([one, two], evidence=evidence, show_progress=False)
        network["joint"].append([one, two, float(both.get_value(**{one: 1, two: 1}))])


rng = random.Random(SEED)
networks = [draw(rng) for _ in range(NETWORKS)]
networks += [catalog(lift, rng) for lift in ("squat", "bench", "deadlift") for _ in range(SETS)]
for network in networks:
    posterior(network, rng)
lines = ",\n".join(json.dumps(network) for network in networks)
print(f'{{"made_by": "pgmpy {version("pgmpy")}", "seed": {SEED}, "networks": [\n{lines}\n]}}')
