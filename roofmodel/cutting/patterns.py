"""Patterns: all of them where there are few, else the most valuable one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from roofmodel.cutting.task import Cut, Task

if TYPE_CHECKING:
    from numpy.typing import NDArray


def all_patterns(task: Task, at_most: int, *, full: bool = True) -> list[Cut] | None:
    """Every pattern that no plan could do without: of pieces wanted, per stock, and if `full`
    with no room for one more. None if there are more than `at_most`, or if finding them takes
    too many steps."""
    out: list[Cut] = []
    steps = 20 * at_most
    kinds = len(task.sizes)
    for stock, room in enumerate(task.rooms):
        counts = [0] * kinds
        # an explicit stack: the kind to decide next, and the room before it
        todo: list[tuple[int, int, int]] = [(0, -1, room)]
        while todo:
            steps -= 1
            if steps < 0 or len(out) > at_most:
                return None
            kind, chosen, space = todo.pop()
            if chosen >= 0:
                counts[kind - 1] = chosen
                counts[kind:] = [0] * (kinds - kind)
            if kind < kinds:
                size = task.sizes[kind]
                most = min(task.wanted[kind], space // size)
                todo += [(kind + 1, n, space - n * size) for n in range(most + 1)]
            elif (
                any(counts)
                and not (full and _takes_more(task, counts, space))
                and stock == task.cheapest(counts)
            ):
                out.append(Cut(stock, tuple(counts)))
    return out


def _takes_more(task: Task, counts: Sequence[int], space: int) -> bool:
    return any(
        size <= space and n < wanted
        for size, n, wanted in zip(task.sizes, counts, task.wanted, strict=True)
    )


def most_valuable(task: Task, values: Sequence[int], stock: int) -> tuple[int, tuple[int, ...]]:
    """The pattern of greatest value (whole numbers per kind) in one bar, and that value.

    A knapsack with bounded numbers of pieces, over every room: exact.
    """
    room = task.rooms[stock]
    best: NDArray[np.int64] = np.zeros(room + 1, np.int64)
    taken: list[tuple[int, int, NDArray[np.bool_]]] = []
    for kind, (size, value) in enumerate(zip(task.sizes, values, strict=True)):
        left = min(task.wanted[kind], room // size)
        part = 1
        while left > 0 and value > 0:
            n = min(part, left)
            left, part = left - n, part * 2
            weight = n * size
            better = best[: room + 1 - weight] + n * value
            gain = better > best[weight:]
            best[weight:] = np.where(gain, better, best[weight:])
            taken.append((kind, n, gain))
    counts = [0] * len(task.sizes)
    space = room
    for kind, n, gain in reversed(taken):
        weight = n * task.sizes[kind]
        if space >= weight and gain[space - weight]:
            counts[kind] += n
            space -= weight
    return int(best[room]), tuple(counts)
