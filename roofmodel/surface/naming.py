"""Names of planes and edges: the way a plane faces, an edge's kind, and a number."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from roofmodel.surface.bodies import Body, Vector

_BEARINGS = (
    "North",
    "North-east",
    "East",
    "South-east",
    "South",
    "South-west",
    "West",
    "North-west",
)


def facing(bearing: float) -> str:
    """The way a plane looks, as a word; `bearing` is degrees clockwise from north.

    Halfway between two words the clockwise one is taken, rounding noise or not.
    """
    return _BEARINGS[int((bearing + 22.5 + 1e-6) // 45.0) % 8]


def bearing_of(gradient: Vector) -> float:
    """Degrees clockwise from north of the way down a plane; 0 for a level one."""
    if gradient == (0.0, 0.0):
        return 0.0
    return math.degrees(math.atan2(-gradient[0], -gradient[1])) % 360.0


def plane_names(bodies: Sequence[Body]) -> dict[tuple[str, str, int], str]:
    """Name of each plane a body could have, by (part, edge, step).

    Planes count whether they are seen or not: what an edit elsewhere hides or shows does not
    rename the others.
    """
    count: Counter[str] = Counter()
    out: dict[tuple[str, str, int], str] = {}
    # in the order the parts were made, whatever their kind: what is added counts last
    for body in sorted(bodies, key=lambda b: made_number(b.part)):
        for side in body.sides:
            key = (body.part, side.edge, side.step)
            if key not in out:
                word = side.word or facing(bearing_of(side.gradient))
                count[word] += 1
                out[key] = f"{word} {count[word]}"
    return out


def made_number(part: str) -> int:
    """The number that a part's id was given when it was made."""
    digits = "".join(c for c in part if c.isdecimal())
    return int(digits) if digits else 0


def piece_name(name: str, piece: int) -> str:
    """The name of a further piece of one plane: South 1, South 1b, South 1c ... South 1 (27).

    >>> piece_name("South 1", 1), piece_name("South 1", 3)
    ('South 1', 'South 1c')
    """
    if piece == 1:
        return name
    return f"{name}{chr(ord('a') + piece - 1)}" if piece <= 26 else f"{name} ({piece})"
