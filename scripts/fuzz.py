"""A long seeded campaign of random outlines with random profiles through the checker.

Usage: python scripts/fuzz.py [COUNT [FIRST_SEED]]. Prints each failure with its seed, so that
it can be kept as a named case.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.skeleton.random_outlines import RandomHouse, verdict

SLOW_S, SMALL = 2.0, 64
"""No outline of so many edges or fewer may take longer."""


def main() -> int:
    """Run the campaign; 1 if anything failed or was slow."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    verdicts: Counter[str] = Counter()
    slowest = 0.0
    bad = largest = 0
    for seed in range(first, first + count):
        house = RandomHouse.of(seed)
        start = time.perf_counter()
        result, detail = verdict(house)
        took = time.perf_counter() - start
        if house.size <= SMALL:
            slowest = max(slowest, took)
        largest = max(largest, house.size)
        verdicts[result] += 1
        if result == "failed" or (took > SLOW_S and house.size <= SMALL):
            bad += 1
            print(f"seed {seed}: {result}, {house.mode}, n = {house.size}, {took:.2f} s: {detail}")
    print(f"{count} outlines: " + ", ".join(f"{k} {v}" for k, v in sorted(verdicts.items())))
    print(f"{bad} failures, slowest of {SMALL} edges or fewer {slowest:.2f} s, largest {largest}")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
