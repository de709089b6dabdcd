"""Compares two JSON files: numbers to a relative 1e-12, everything else exactly."""

import json
import math
import sys


def differences(old, new, path="$"):
    """Yields a line for every place where the two differ."""
    numbers = (int, float)
    if isinstance(old, dict) and isinstance(new, dict) and old.keys() == new.keys():
        for key in old:
            yield from differences(old[key], new[key], f"{path}.{key}")
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for at, pair in enumerate(zip(old, new)):
            yield from differences(*pair, f"{path}[{at}]")
    elif type(old) in numbers and type(new) in numbers:
        if not math.isclose(old, new, rel_tol=1e-12, abs_tol=1e-15):
            yield f"{path}: committed {old!r}, made anew {new!r}"
    elif old != new:
        yield f"{path}: committed {str(old)[:60]}, made anew {str(new)[:60]}"


committed, made = (json.load(open(name)) for name in sys.argv[1:3])
found = list(differences(committed, made))
for line in found[:20]:
    print(line)
if found:
    sys.exit(f"{sys.argv[1]} is stale in {len(found)} places: make it anew with tests/reference/run")
print(f"{sys.argv[1].rsplit('/', 1)[-1]}: the same when made anew")
