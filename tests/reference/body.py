"""Static lifting geometry with SciPy's solvers and NumPy; JSON on standard output.

Proportions: Drillis and Contini 1966, as drawn in Winter, Biomechanics and Motor Control of Human
Movement. Masses: Winter (Dempster). The balance is written out here from its free-body diagram and
solved by general root finders; the core solves it in closed form or by bisection.
"""

import json
from importlib.metadata import version
from math import acos, atan, cos, degrees, hypot, pi, radians, sin, sqrt

import numpy as np
from scipy.optimize import brentq, fsolve, minimize_scalar

G = 9.81
BARS = {"high": (0.0, 0.05), "low": (0.07, 0.07)}
# stature m, body kg, bar kg, thigh and trunk as fractions of stature
BODIES = {
    "A": (1.75, 80.0, 120.0, 0.245, 0.288),
    "B": (1.85, 90.0, 140.0, 0.260, 0.273),
    "C": (1.65, 65.0, 95.0, 0.230, 0.303),
}
SD = 0.045


class Body:
    """Lengths in metres."""

    def __init__(self, stature, thigh=0.245, trunk=0.288, shank=0.246, arm=0.332):
        self.stature = stature
        self.thigh, self.trunk, self.shank = thigh * stature, trunk * stature, shank * stature
        self.arm = arm * stature
        self.foot, self.ankle = 0.152 * stature, 0.039 * stature
        self.half_shoulders, self.half_hand, self.to_bar = (
            0.129 * stature,
            0.050 * stature,
            0.020 * stature,
        )
        self.shoulder = self.ankle + self.shank + self.thigh + self.trunk

    def but(self, name, factor):
        """The same body with one length times a factor."""
        other = Body.__new__(Body)
        other.__dict__ = dict(self.__dict__)
        setattr(other, name, getattr(self, name) * factor)
        return other


def ankle_at(body, heel, pivot):
    """Ankle when the heel is raised and the foot turns about a point `pivot` from the heel."""
    phi = atan(heel / pivot)
    behind = pivot - 0.25 * body.foot
    x = -body.foot / 2 + pivot - behind * cos(phi) + body.ankle * sin(phi)
    return np.array([x, behind * sin(phi) + body.ankle * cos(phi)]), phi


def pose(body, kg, bar_kg, bar, heel, s, q, th=0.0, pivot=None):
    a, o = BARS[bar]
    ankle, phi = ankle_at(body, heel, pivot or body.foot)
    knee = ankle + body.shank * np.array([sin(s), cos(s)])
    hip = knee + body.thigh * np.array([-cos(th), sin(th)])
    up, back = np.array([sin(q), cos(q)]), np.array([-cos(q), sin(q)])
    at = hip + (body.trunk - a) * up + o * back
    leg, thigh = knee + 0.433 * (ankle - knee), hip + 0.433 * (knee - hip)
    hat = hip + 0.626 * body.trunk * up
    moment = kg * (0.093 * leg[0] + 0.2 * thigh[0] + 0.678 * hat[0]) + bar_kg * at[0]
    return {
        "system_x": moment / (kg + bar_kg),
        "bar_x": at[0],
        "shank": degrees(s),
        "dorsiflexion": degrees(s - phi),
        "lean": degrees(q),
        "hip_arm": at[0] - hip[0],
        "knee_arm": knee[0] - at[0],
        "hip_moment": G * (0.678 * kg * (hat[0] - hip[0]) + bar_kg * (at[0] - hip[0])),
        "knee_moment": G
        * (
            0.678 * kg * (knee[0] - hat[0])
            + 0.2 * kg * (knee[0] - thigh[0])
            + bar_kg * (knee[0] - at[0])
        ),
        "knee_past_toe": knee[0] - body.foot / 2,
    }


def both_over(body, kg, bar_kg, bar, heel):
    """Bar and system over mid-foot: shank and lean unknown."""

    def off(u):
        found = pose(body, kg, bar_kg, bar, heel, *u)
        return [found["bar_x"], found["system_x"]]

    u, _, _, _ = fsolve(off, [0.5, 0.7], xtol=1e-15, full_output=True)
    assert max(map(abs, off(u))) < 1e-12
    return solved(pose(body, kg, bar_kg, bar, heel, *u), "bar_x")


def solved(found, *zero):
    """What was found, without what was made zero: its rounding is not the same on every machine."""
    return {key: value for key, value in found.items() if key not in ("system_x", *zero)}


def lean_for(body, kg, bar_kg, bar, heel, dorsiflexion, th=0.0, pivot=None):
    """System over mid-foot with the ankle given: lean unknown. None when no lean balances."""
    _, phi = ankle_at(body, heel, pivot or body.foot)
    s = radians(dorsiflexion) + phi

    def off(q):
        return pose(body, kg, bar_kg, bar, heel, s, q, th, pivot)["system_x"]

    # The system is furthest forward with the trunk a little past level (the bar lies behind it).
    top = minimize_scalar(
        lambda q: -off(q), bounds=(1.0, 2.2), method="bounded", options={"xatol": 1e-10}
    ).x
    if off(top) < 0:
        return None, off(top)
    q = brentq(off, top - pi, top, xtol=1e-15, rtol=1e-14)
    return solved(pose(body, kg, bar_kg, bar, heel, s, q, th, pivot)), None


def squat_rows():
    one, two = [], []
    for name, (stature, kg, bar_kg, thigh, trunk) in BODIES.items():
        body = Body(stature, thigh, trunk)
        for bar in BARS:
            for heel in (0, 20):
                given = {
                    "body": name,
                    "stature": stature,
                    "kg": kg,
                    "bar_kg": bar_kg,
                    "thigh": body.thigh,
                    "trunk": body.trunk,
                    "bar": bar,
                    "heel_mm": heel,
                }
                one.append({**given, **both_over(body, kg, bar_kg, bar, heel / 1000)})
                for ankle in (20, 25, 30, 35):
                    found, short = lean_for(body, kg, bar_kg, bar, heel / 1000, ankle)
                    two.append({**given, "ankle": ankle, "short": short, "found": found})
    return one, two


def odd_squats():
    """Poses the tables do not have: other depths, and shoes, which turn about the ball."""
    out = []
    random = np.random.Generator(np.random.PCG64(20261130))
    for _ in range(24):
        stature, kg = round(random.uniform(1.5, 2.0), 2), round(random.uniform(50, 120), 1)
        given = {
            "stature": stature,
            "kg": kg,
            "bar_kg": round(random.uniform(20, 220), 1),
            "thigh": round(stature * random.normal(0.245, 0.011), 3),
            "trunk": round(stature * random.normal(0.288, 0.013), 3),
            "shank": round(stature * random.normal(0.246, 0.011), 3),
            "bar": ["high", "low"][int(random.integers(2))],
            "heel_mm": int(random.integers(0, 31)),
            "ankle": round(random.uniform(8, 42), 1),
            "thigh_deg": round(random.uniform(-12, 25), 1),
            "shoe": bool(random.integers(2)),
        }
        body = Body(
            stature, given["thigh"] / stature, given["trunk"] / stature, given["shank"] / stature
        )
        pivot = 0.73 * body.foot if given["shoe"] else body.foot
        found, short = lean_for(
            body,
            kg,
            given["bar_kg"],
            given["bar"],
            given["heel_mm"] / 1000,
            given["ankle"],
            radians(given["thigh_deg"]),
            pivot,
        )
        out.append({**given, "short": short, "found": found})
    return out


def heels():
    return [
        {"mm": mm, "length": length, "degrees": degrees(atan(mm / 1000 / length))}
        for mm in (10, 15, 20, 25)
        for length in (0.240, 0.266, 0.280, 0.73 * 0.266)
    ]


def press(body, grip, chest, touch=0.0):
    """Frontal plane; the elbow's angle by vectors, from where two circles meet."""
    upper, fore = body.arm * 0.186 / 0.332, body.arm * 0.146 / 0.332 + body.to_bar
    w = grip / 2 + 0.03 - body.half_shoulders
    top = brentq(lambda h: hypot(w, h) - upper - fore, 0, upper + fore, xtol=1e-15)
    shoulder, hand = np.zeros(3), np.array([w, chest, touch])
    reach = np.linalg.norm(hand - shoulder)

    def gap(angle):
        # Length of the third side when the elbow is bent to this angle.
        elbow = np.array([upper, 0.0])
        wrist = elbow + fore * np.array([-cos(angle), sin(angle)])
        return np.linalg.norm(wrist) - reach

    return {"travel": top - chest, "elbow": degrees(brentq(gap, 1e-6, pi - 1e-9, xtol=1e-15))}


def bench_rows():
    return [
        {"stature": h, "grip": g, "chest": c, "touch": d, **press(Body(h), g, c, d)}
        for h in (1.65, 1.75, 1.85)
        for g in (0.50, 0.55, 0.60, 0.65, 0.70, 0.75, 0.80, 0.81)
        for c, d in ((0.10, 0.0), (0.10, 0.08), (0.14, 0.0), (0.18, 0.08))
    ]


def over_hand():
    """Grip with the elbow under the hand: forearm vertical as seen from the foot end."""
    out = []
    for touch in (0.08, 0.16):
        body = Body(1.75)
        upper, fore = body.arm * 0.186 / 0.332, body.arm * 0.146 / 0.332 + body.to_bar

        def off(w):
            return np.linalg.norm([w, fore - 0.10, touch]) - upper

        w = brentq(off, 0, upper, xtol=1e-15)
        grip = 2 * (w - 0.03 + body.half_shoulders)
        out.append({"stature": 1.75, "chest": 0.10, "touch": touch, "grip": grip})
    return out


def pull(body, delta, kg, bar_kg, shin=0.045):
    ankle = np.array([-0.25 * body.foot, body.ankle])
    bar = np.array([0.0, 0.225])

    def gap(s):
        # Distance of the bar's centre from the line of the shank.
        along = np.array([sin(s), cos(s)])
        return (bar - ankle) @ np.array([along[1], -along[0]]) - shin

    s = brentq(gap, radians(-40), radians(60), xtol=1e-15)
    knee = ankle + body.shank * np.array([sin(s), cos(s)])
    reach = body.arm + body.half_hand
    shoulder = np.array([delta, 0.225 + sqrt(reach**2 - 0.05**2 - delta**2)])

    def off(hip):
        return [
            np.linalg.norm(hip - knee) - body.thigh,
            np.linalg.norm(hip - shoulder) - body.trunk,
        ]

    hip, _, ok, _ = fsolve(off, knee + [-body.thigh, 0.05], xtol=1e-15, full_output=True)
    assert max(map(abs, off(hip))) < 1e-12, (ok, off(hip))
    leg, thigh = knee + 0.433 * (ankle - knee), hip + 0.433 * (knee - hip)
    hat = hip + 0.626 * (shoulder - hip)
    com = 0.093 * leg[0] + 0.2 * thigh[0] + 0.678 * hat[0]
    return {
        "shank": degrees(s),
        "hip_y": hip[1],
        "lean": degrees(acos((shoulder - hip)[1] / body.trunk)),
        "thigh_deg": degrees(np.arctan2((hip - knee)[1], (knee - hip)[0])),
        "hip_behind": -hip[0],
        "body_x": com,
        "system_x": com * kg / (kg + bar_kg),
        "range": body.shoulder - sqrt(reach**2 - 0.05**2) - 0.225,
    }


def pulls():
    out = []
    for name, arm, delta, shin in [
        ("A", 0.332, 0.0, 0.045),
        ("A", 0.332, 0.03, 0.045),
        ("A", 0.332, 0.05, 0.045),
        ("A", 0.332, 0.08, 0.045),
        ("B", 0.332, 0.05, 0.045),
        ("C", 0.332, 0.05, 0.045),
        ("A", 0.352, 0.05, 0.045),
        ("A", 0.332, 0.05, 0.060),
        ("B", 0.332, 0.05, 0.060),
        ("C", 0.332, 0.05, 0.060),
    ]:
        stature, kg, bar_kg, thigh, trunk = BODIES[name]
        body = Body(stature, thigh, trunk, arm=arm)
        out.append(
            {
                "body": name,
                "stature": stature,
                "kg": kg,
                "bar_kg": 120.0,
                "thigh": body.thigh,
                "trunk": body.trunk,
                "arm": body.arm,
                "ahead": delta,
                "shin": shin,
                **pull(body, delta, kg, 120.0, shin),
            }
        )
    return out


def spreads():
    """Spread from each length by itself, and by 4 000 draws of all together."""
    out = []
    random = np.random.Generator(np.random.PCG64(45))
    squat_parts = ("shank", "thigh", "trunk", "foot", "ankle")
    for stature, kg, bar_kg, bar, ankle in [
        (1.75, 80.0, 120.0, "high", 30.0),
        (1.75, 80.0, 120.0, "low", 35.0),
        (1.65, 65.0, 95.0, "high", 32.0),
    ]:
        body = Body(stature)

        def lean(one):
            found, _ = lean_for(one, kg, bar_kg, bar, 0.0, ankle)
            return found and found["lean"]

        drawn = []
        for _ in range(4000):
            one = body
            for part in squat_parts:
                one = one.but(part, 1 + SD * random.standard_normal())
            drawn.append(lean(one))
        drawn = np.array([d for d in drawn if d is not None])
        halves = [
            (lean(body.but(p, 1 + SD)) - lean(body.but(p, 1 - SD))) / 2 for p in squat_parts
        ]
        out.append(
            {
                "stature": stature,
                "kg": kg,
                "bar_kg": bar_kg,
                "bar": bar,
                "ankle": ankle,
                "lean": lean(body),
                "sd": float(np.linalg.norm(halves)),
                "drawn_sd": float(np.std(drawn)),
                "drawn_low": float(np.quantile(drawn, 0.1)),
                "drawn_high": float(np.quantile(drawn, 0.9)),
            }
        )
    return out


both, given = squat_rows()
tables = {
    "both_over_mid_foot": both,
    "ankle_given": given,
    "odd_squats": odd_squats(),
    "heels": heels(),
    "presses": bench_rows(),
    "over_hand": over_hand(),
    "pulls": pulls(),
    "spreads": spreads(),
}


def plain(value):
    """NumPy's numbers as Python's own."""
    return value.item() if isinstance(value, np.generic) else str(value)


made_by = ", ".join(f"{name} {version(name)}" for name in ("numpy", "scipy"))
print(f'{{"made_by": {json.dumps(made_by)},')
blocks = []
for name, rows in tables.items():
    lines = ",\n".join(json.dumps(row, default=plain) for row in rows)
    blocks.append(f'"{name}": [\n{lines}\n]')
print(",\n".join(blocks) + "}")
