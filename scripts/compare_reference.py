"""Compare the section solver with a file of reference roofs: agree, ours only, or differ.

Usage: python scripts/compare_reference.py FILE.json.gz

Each case has rings, slopes per variant and answers of independent libraries. Compared are the
plan area per edge and the true area of the sloping faces, never node lists.
"""

from __future__ import annotations

import gzip
import json
import math
import sys
import time
from collections import Counter, defaultdict
from typing import Any

import numpy as np

from roofmodel.errors import OutlineError
from roofmodel.skeleton import solve

ROUNDED = 5e-10
"""Half the last digit of the file's coordinates, in its unit."""


def plan_area(points: Any) -> float:
    """Signed plan area of a polygon."""
    a = np.asarray(points, dtype=float)[:, :2]
    a = a - a[0]
    x, y = a[:, 0], a[:, 1]
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def planes(rings: list[Any], slopes: list[float | None]) -> list[int]:
    """For each edge the first edge that lies in the same plane.

    Where two edges of one plane become neighbours higher up, the line between their faces is
    anybody's choice: only their common area can be compared.
    """
    lines: list[tuple[float, float, float, float]] = []
    out: list[int] = []
    size = float(np.ptp(np.asarray(rings[0])))
    k = 0
    for ring in rings:
        a = np.asarray(ring, dtype=float)
        for p, q in zip(a, np.roll(a, -1, axis=0), strict=True):
            d = (q - p) / np.hypot(*(q - p))
            slope = slopes[k] if slopes[k] is not None else math.inf
            line = (float(d[0]), float(d[1]), float(d[0] * p[1] - d[1] * p[0]) / size, slope)
            same = (
                i
                for i, other in enumerate(lines)
                if other[3] == slope
                and all(abs(x - y) < 1e-7 for x, y in zip(line[:3], other[:3], strict=True))
            )
            lines.append(line)
            out.append(next(same, k))
            k += 1
    return out


def compare(case: dict[str, Any], variant: str) -> tuple[str, str]:
    """One variant of one case: (verdict, detail)."""
    answer = case["answers"].get(variant)
    if answer is None:
        return "", ""
    rings = case["rings"]
    slopes = [s for ring in case["slopes"][variant] for s in ring]
    profiles = [[(0.0, math.inf if s is None else s)] for s in slopes]
    usable = answer["status"] == "ok" and not answer.get("ambiguous")
    try:
        solved = solve(rings, profiles)
    except OutlineError as error:
        return ("refused" if not usable else "differ"), str(error)
    if not usable:
        return "ours only", ""
    plane = planes(rings, slopes)
    first = np.cumsum([0] + [len(r) for r in rings])
    theirs: dict[int, float] = defaultdict(float)
    for f in answer["faces"]:
        theirs[plane[int(first[f["ring"]]) + f["edge"]]] += abs(plan_area(f["poly"]))
    ours: dict[int, float] = defaultdict(float)
    for face in solved.faces:
        if not face.vertical:
            ours[plane[face.edge]] += plan_area(face.vertices)
    total = case["area"]
    # the file's coordinates are rounded to a nanometre: on doll's houses that is more than 1e-9
    edge = sum(math.dist(p, q) for r in rings for p, q in zip(r, r[1:] + r[:1], strict=True))
    limit = 1e-4 if "rot" in case["id"] else max(1e-9, ROUNDED * edge / total)
    worst = max(abs(ours[k] - theirs[k]) for k in range(int(first[-1]))) / total
    return ("agree" if worst <= limit else "differ"), f"{worst:.2e}"


def main(path: str) -> int:
    """Print the verdicts; 1 if any differs."""
    with gzip.open(path, "rt", encoding="utf-8") as stream:
        data = json.load(stream)
    cases = data["cases"] if isinstance(data, dict) else data
    count: Counter[str] = Counter()
    for case in cases:
        for variant in ("equal", "random", "gable"):
            start = time.perf_counter()
            verdict, detail = compare(case, variant)
            took = time.perf_counter() - start
            if not verdict:
                continue
            count[verdict] += 1
            if verdict in ("differ", "refused") or took > 2.0:
                print(f"{verdict:9} {case['id']} {variant} n={case['n']} {took:.2f} s {detail}")
    print(", ".join(f"{k}: {count[k]}" for k in ("agree", "ours only", "refused", "differ")))
    return 1 if count["differ"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
