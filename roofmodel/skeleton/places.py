"""How messages name edges and corners: counted from 1, ring by ring, as the user gave them."""

from __future__ import annotations

from collections.abc import Iterable

Place = tuple[int, int]
"""(ring, index), counted from 0; ring 0 is the outline, ring 1 the first courtyard."""


def ring_name(ring: int) -> str:
    """For example "the outline", "courtyard 1"."""
    return f"courtyard {ring}" if ring else "the outline"


def edge_name(place: Place) -> str:
    """For example "edge 3 of the outline"."""
    return f"edge {place[1] + 1} of {ring_name(place[0])}"


def corner_name(place: Place) -> str:
    """For example "corner 2 of courtyard 1"."""
    return f"corner {place[1] + 1} of {ring_name(place[0])}"


def edge_names(places: Iterable[Place]) -> str:
    """Several edges in one phrase.

    >>> edge_names([(0, 0), (0, 2), (1, 3)])
    'edges 1 and 3 of the outline, edge 4 of courtyard 1'
    """
    rings: dict[int, list[int]] = {}
    for ring, index in sorted(places):
        rings.setdefault(ring, []).append(index)
    out = []
    for ring, indices in rings.items():
        if len(indices) == 1:
            out.append(edge_name((ring, indices[0])))
            continue
        numbers = ", ".join(str(k + 1) for k in indices[:-1])
        out.append(f"edges {numbers} and {indices[-1] + 1} of {ring_name(ring)}")
    return ", ".join(out)


def capital(sentence: str) -> str:
    """A sentence with a capital first letter."""
    return sentence[:1].upper() + sentence[1:]
