"""The section solver's times beside a geometry library's, in one run, and how ours grow.

Outlines are rectilinear (towers of unlike height side by side on a common base, grown on both
sides), so there are as many reflex corners as a house of that size could have. The library is
pysfcgal: its equal-pitch call, and its weighted call, where the weight that belongs to vertex i
is the slope of the edge that ends there.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
from collections.abc import Callable

from pysfcgal.geometry import Polygon

from roofmodel.skeleton import solve

SIZES = (8, 16, 32, 64, 128, 256, 512, 1024, 4096)
WEIGHTED_LIMIT = 128
"""Largest size for the library's weighted call, unless --long is given: it takes minutes."""
FAR = 1e6


def towers(n: int, seed: int = 1) -> list[tuple[float, float]]:
    """A rectilinear outline of n corners (n a multiple of 4), counter-clockwise, in metres."""
    rnd = random.Random(seed)
    steps = (n - 4) // 4
    width = 3.0 * (steps + 1)
    down = [rnd.uniform(2.0, 12.0) for _ in range(steps + 1)]
    up = [rnd.uniform(2.0, 12.0) for _ in range(steps + 1)]
    pitch = width / (steps + 1)
    out: list[tuple[float, float]] = []
    for k, y in enumerate(down):
        out += [(k * pitch, -y), ((k + 1) * pitch, -y)]
    for k, y in reversed(list(enumerate(up))):
        out += [((k + 1) * pitch, y), (k * pitch, y)]
    return out


def median_ms(call: Callable[[], object], seconds: float = 1.0) -> float:
    """Median time of a call, over as many runs as fit in some seconds, at least one."""
    times = []
    end = time.perf_counter() + seconds
    while not times or time.perf_counter() < end:
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return 1000.0 * statistics.median(times)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--long", action="store_true", help="time the library's slow calls too")
    long = parser.parse_args().long
    print("Section solver, rectilinear outlines, median ms")
    print(
        f"{'n':>6} {'ours equal':>11} {'ours random':>12} {'library':>9} {'weighted':>10}"
        f" {'equal ratio':>12} {'random ratio':>13} {'growth':>7}"
    )
    before: tuple[int, float] | None = None
    for n in SIZES:
        outline = towers(n)
        rnd = random.Random(n)
        slopes = [rnd.randint(3, 12) / 12.0 for _ in outline]
        equal = median_ms(lambda o=outline: solve([o], [[(0.0, 0.5)]] * len(o)))  # type: ignore[misc]
        unlike = median_ms(
            lambda o=outline, s=slopes: solve([o], [[(0.0, x)] for x in s])  # type: ignore[misc]
        )
        polygon = Polygon(outline)
        theirs = math.nan
        if long or n <= 1024:
            theirs = median_ms(polygon.straight_skeleton_distance_in_m)
        weighted = math.nan
        if long or n <= WEIGHTED_LIMIT:
            weights = [[slopes[k - 1] for k in range(len(outline))]]
            weighted = median_ms(
                lambda p=polygon, w=weights: p.extrude_straight_skeleton_with_weights(FAR, w)  # type: ignore[misc]
            )
        growth = math.log(equal / before[1], n / before[0]) if before else math.nan
        before = (n, equal)
        print(
            f"{n:6} {equal:11.2f} {unlike:12.2f} {theirs:9.2f} {weighted:10.1f}"
            f" {equal / theirs:12.2f} {unlike / theirs:13.2f} {growth:7.2f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
