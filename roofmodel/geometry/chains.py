"""Closed chains from a heap of directed arcs."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable


def closed_chains(
    arcs: Iterable[tuple[int, int]], angle: Callable[[int, int], float]
) -> list[list[int]]:
    """Closed chains of nodes from the directed arcs around a face.

    Parameters
    ----------
    arcs : pairs of nodes
        Every arc with the face to its left. An arc and its reverse cancel.
    angle : function
        Direction of an arc, radians, as seen from where the face is counter-clockwise.

    Returns
    -------
    list of list of int
        Each chain without its first node repeated. Where the face touches itself in a node, the
        chain turns as far left as it can, so that every chain is a simple loop.

    Raises
    ------
    ArithmeticError
        An arc leads to a node from which none goes on.
    """
    given = list(arcs)
    chain = _one_chain(given)
    if chain:
        return [chain]
    left = set(given)
    left -= {(end, start) for start, end in left}
    out: dict[int, list[int]] = {}
    for start, end in sorted(left):
        out.setdefault(start, []).append(end)
    chains = []
    while out:
        first = next(iter(out))
        chain = [first]
        here = _take(out, first, None, angle)
        while here != first:
            if here not in out:
                raise ArithmeticError("a face does not close")
            chain.append(here)
            here = _take(out, here, chain[-2], angle)
        chains.append(chain)
    return chains


def _one_chain(arcs: list[tuple[int, int]]) -> list[int]:
    """The chain of arcs that form a single simple loop, from the first arc's start; else none."""
    after = dict(arcs)
    if len(after) != len(arcs) or len(after) < 3:
        return []
    first = here = arcs[0][0]
    chain = []
    for _ in arcs:
        chain.append(here)
        here = after.get(here, -1)
        if here == first:
            break
    return chain if here == first and len(chain) == len(arcs) else []


def _take(
    out: dict[int, list[int]], here: int, before: int | None, angle: Callable[[int, int], float]
) -> int:
    """Remove and return the way on from `here`: the first clockwise from where we came."""
    ways = out[here]
    pick = 0
    if len(ways) > 1 and before is not None:
        back = angle(here, before)
        turns = [(angle(here, way) - back) % (2.0 * math.pi) for way in ways]
        pick = turns.index(max(turns))
    end = ways.pop(pick)
    if not ways:
        del out[here]
    return end
