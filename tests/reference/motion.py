"""Filter, derivatives, noise gains, thresholds and speeds with NumPy and SciPy; JSON on standard output."""

import json
from importlib.metadata import version

import numpy as np
from scipy import optimize, signal

# Two passes that halve the power together; Winter's correction, exact in the digital domain.
CORRECTION = (np.sqrt(2) - 1) ** 0.25


def corner(fs, fc):
    return fs / np.pi * np.arctan(np.tan(np.pi * fc / fs) / CORRECTION)


def series():
    """Two sines and the noise of a linear congruential generator, 60 a second."""
    seed, noise = 12345, []
    for _ in range(120):
        seed = (1664525 * seed + 1013904223) % 2**32
        noise.append(seed / 2**32 - 0.5)
    t = np.arange(120) / 60
    return 0.5 * np.sin(2 * np.pi * 0.5 * t) + 0.05 * np.sin(2 * np.pi * 3 * t + 0.4) + 0.02 * np.array(noise)


def filters():
    x = series()
    out = []
    for fs, fc in ((60, 6), (60, 4), (60, 8), (30, 4), (30, 6), (120, 6), (240, 6)):
        b, a = signal.butter(2, corner(fs, fc) / (fs / 2))
        y = signal.filtfilt(b, a, x)
        v = np.gradient(y, 1 / fs)
        out.append(
            {
                "fps": fs,
                "cutoff": fc,
                "corner": corner(fs, fc),
                "x": y.tolist(),
                "v": v.tolist(),
                "a": np.gradient(v, 1 / fs).tolist(),
            }
        )
    return {"input": x.tolist(), "cases": out}


def gains():
    """White noise through the filter: the norm of its impulse response and of its differences."""
    out = []
    for fs, fc in ((30, 4), (30, 6), (60, 4), (60, 6), (60, 8), (120, 6), (240, 6)):
        b, a = signal.butter(2, corner(fs, fc) / (fs / 2))
        pulse = np.zeros(4001)
        pulse[2000] = 1
        h = signal.filtfilt(b, a, pulse)
        v = np.gradient(h, 1 / fs)
        row = [h, v, np.gradient(v, 1 / fs), pulse - h]
        out.append({"fps": fs, "cutoff": fc, "gains": [float(np.linalg.norm(r)) for r in row]})
    return out


def moves():
    """Minimum-jerk moves: when they are faster than 0.05 m/s, and how fast they are in between."""
    out = []
    for way, time in ((0.55, 1.4), (0.55, 1.6), (0.45, 1.0)):
        speed = lambda u: way / time * 30 * u**2 * (1 - u) ** 2 - 0.05
        u = optimize.brentq(speed, 1e-9, 0.5)
        height = way * (10 * u**3 - 15 * u**4 + 6 * u**5)
        mean = (way - 2 * height) / ((1 - 2 * u) * time)
        out.append(
            {
                "way": way,
                "time": time,
                "on": u * time,
                "off": (1 - u) * time,
                "lost": height,
                "fastest": 1.875 * way / time,
                "mean": mean,
            }
        )
    return out


def propulsive():
    """v = 1.6 sin(pi t / 0.4): until the bar slows faster than free fall."""
    fast, time = 1.6, 0.4
    end = time / np.pi * np.arccos(-9.81 * time / (fast * np.pi))
    height = fast * time / np.pi * (1 - np.cos(np.pi * end / time))
    return {"fast": fast, "time": time, "end": end, "mean": 2 * fast / np.pi, "propulsive": height / end}


def humps():
    """A way up that slows in its middle: two humps of speed."""
    t = np.arange(1601) / 1000
    v = 0.35 * np.exp(-(((t - 0.25) / 0.16) ** 2)) + 0.30 * np.exp(-(((t - 1.0) / 0.30) ** 2))
    y = np.concatenate([[0], np.cumsum((v[1:] + v[:-1]) / 2000)])
    first = int(np.argmax(v[:400]))
    low = first + int(np.argmin(v[first:1000]))
    last = low + int(np.argmax(v[low:]))
    return {
        "speed": v.tolist(),
        "height": y.tolist(),
        "from": first,
        "at": low,
        "until": last,
        "share": y[low] / y[-1],
        "depth": 1 - v[low] / v[first],
        "mean": y[-1] / 1.6,
    }


print(
    json.dumps(
        {
            "made_by": {name: version(name) for name in ("numpy", "scipy")},
            "filters": filters(),
            "gains": gains(),
            "moves": moves(),
            "propulsive": propulsive(),
            "humps": humps(),
        },
        separators=(",", ":"),
    )
)
