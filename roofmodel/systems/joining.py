"""A part of trim between two systems: on each plane as the part that its own system lays there.

Where panels of two systems meet over a ridge, one cap lies on both. On each side its leg and its
border are those of that side's cap: a border that hooks on a closure here, one that lies closed on
the ribs there.
"""

from __future__ import annotations

from functools import lru_cache

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems.profiles import Leg, TrimProfile


def joined_name(first: str, second: str) -> str:
    """What a part put together from two is called.

    >>> joined_name("ridge cap", "seam ridge cap")
    'half ridge cap and half seam ridge cap'
    """
    return f"half {first} and half {second}"


@lru_cache(maxsize=256)
def joined(first: TrimProfile, second: TrimProfile) -> TrimProfile | None:
    """The section with the legs on the first plane, and their border, from the `first` part and
    those on the second plane from the `second`; None where one of them has no legs on both, or no
    fold of the roof suits both.

    What lies between, the metal and the paint are the first part's; where the second's differ,
    `source` says so. How high the leg on the second plane is raised, and from which fold on it can
    be, is the second's. A border that neither part hems lies hidden under panels or on a deck; how
    far it must reach hangs on how high the other side lies, so the longer of both legs serves.
    """
    one, two = _split(first), _split(second)
    if one is None or two is None:
        return None
    low, high = max(first.folds[0], second.folds[0]), min(first.folds[1], second.folds[1])
    if low > high:
        return None
    (last, begins), (last_there, begins_there) = one, two
    # legs that lie on no plane keep their names: only the sides have an origin worth telling
    own = [_told(leg, first) for leg in first.legs[: last + 1]]
    other = [_told(leg, second) for leg in second.legs[begins_there:]]
    if first.start_hem is None and second.start_hem is None:
        own[0] = _longer(own[0], second.legs[0])
    if first.end_hem is None and second.end_hem is None:
        other[-1] = _longer(other[-1], first.legs[-1])
    between = first.legs[last + 1 : begins], first.bends[last:begins]
    between_there = (
        second.legs[last_there + 1 : begins_there],
        second.bends[last_there:begins_there],
    )
    taken = [what for what, differs in (
        ("its middle", between != between_there),
        ("the sheet", first.metal != second.metal),
        ("the painted side", first.painted != second.painted),
    ) if differs]  # fmt: skip
    try:
        return TrimProfile(
            name=joined_name(first.name, second.name),
            legs=(*own, *between[0], *other),
            bends=(*first.bends[:last], *between[1], *second.bends[begins_there:]),
            start_hem=first.start_hem,
            end_hem=second.end_hem,
            folds=(low, high),
            painted=first.painted,
            metal=first.metal,
            least_leg=max(first.least_leg, second.least_leg),
            source=_source(first, second, taken),
            raised=second.raised,
            least_fold=second.least_fold,
        )
    except DocumentError:  # as a hem that the other sheet is too thick for
        return None


def _split(part: TrimProfile) -> tuple[int, int] | None:
    """The numbers of its last leg on the first plane and its first one on the second."""
    on = [leg.on for leg in part.legs]
    if "first plane" not in on or "second plane" not in on:
        return None
    return len(on) - 1 - on[::-1].index("first plane"), on.index("second plane")


def _told(leg: Leg, part: TrimProfile) -> Leg:
    return msgspec.structs.replace(leg, name=f"{leg.name}, as {part.name}")


def _longer(leg: Leg, other: Leg) -> Leg:
    if leg.on != other.on:
        return leg
    return msgspec.structs.replace(leg, length=max(leg.length, other.length))


def _source(first: TrimProfile, second: TrimProfile, taken: list[str]) -> str:
    words = f"half as {first.name}, half as {second.name}"
    if taken:
        what = " and ".join(taken)
        words += f", where they differ {what} as {first.name}"
    return f"{words}: {'; '.join(dict.fromkeys((first.source, second.source)))}"
