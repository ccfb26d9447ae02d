"""Good plans without a search, and simple bounds below which no plan can be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from roofmodel.cutting.task import Cut, Task


def packed(
    task: Task, left: Sequence[int], fixed: Mapping[Cut, int] | None = None
) -> dict[Cut, int]:
    """Bars for the pieces `left`, added to those `fixed`: every bar takes the longest piece that
    still fits, over and over; equal bars are made many at a time."""
    out = dict(fixed or {})
    rest = [max(0, n) for n in left]
    room = task.rooms[-1]
    while any(rest):
        space, counts = room, [0] * len(rest)
        for kind, size in enumerate(task.sizes):
            counts[kind] = min(rest[kind], space // size)
            space -= counts[kind] * size
        times = min(n // c for n, c in zip(rest, counts, strict=True) if c)
        cut = Cut(task.cheapest(counts), tuple(counts))
        out[cut] = out.get(cut, 0) + times
        rest = [n - c * times for n, c in zip(rest, counts, strict=True)]
    return out


def best_fit(task: Task) -> dict[Cut, int]:
    """Each piece, longest first, into the fullest bar that still takes it. For few pieces."""
    bars: list[tuple[int, list[int]]] = []
    for kind, size in enumerate(task.sizes):
        for _ in range(task.wanted[kind]):
            fits = [k for k, (space, _) in enumerate(bars) if space >= size]
            if fits:
                k = min(fits, key=lambda k: bars[k][0])
                bars[k] = (bars[k][0] - size, bars[k][1])
            else:
                k = len(bars)
                bars.append((task.rooms[-1] - size, [0] * len(task.sizes)))
            bars[k][1][kind] += 1
    out: dict[Cut, int] = {}
    for _, counts in bars:
        cut = Cut(task.cheapest(counts), tuple(counts))
        out[cut] = out.get(cut, 0) + 1
    return out


def simple_bound(task: Task) -> int:
    """A price that no plan can be below.

    The metal alone, and for one stock length also: pieces over half a bar never share one, nor
    do those over room − t with those of t or more. The latter is the bound L2 of Martello and
    Toth, Knapsack Problems (1990), chapter 8.
    """
    total = task.used(task.wanted)
    each = min(Fraction(p, r) for p, r in zip(task.prices, task.rooms, strict=True))
    bound = -((-total * each.numerator) // each.denominator)
    if len(task.stocks) > 1:
        return bound
    room = task.rooms[0]
    pairs = list(zip(task.sizes, task.wanted, strict=True))
    for least in {0, *(s for s in task.sizes if 2 * s <= room)}:
        alone = sum(n for s, n in pairs if s > room - least)
        large = [(s, n) for s, n in pairs if room - least >= s and 2 * s > room]
        small = sum(s * n for s, n in pairs if 2 * s <= room and s >= least)
        bars = sum(n for _, n in large)
        over = small - (bars * room - sum(s * n for s, n in large))
        bound = max(bound, alone + bars + max(0, -(-over // room)))
    return bound
