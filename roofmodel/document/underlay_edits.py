"""Edits of what lies under the plan: place, turn, scale, order. Functions Project -> Project.

A locked underlay keeps its place and its scale until it is unlocked; it can be hidden, dimmed
and removed all the same. Lengths are millimetres, turns degrees counter-clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec

from roofmodel.document.changes import changed, next_number
from roofmodel.document.parts import Point
from roofmodel.document.types import Project, Units
from roofmodel.document.underlays import KnownDistance, Underlay
from roofmodel.errors import DocumentError
from roofmodel.geometry.fitting import ScaleFit, fit_scale, square_turn
from roofmodel.units import format_length

MOST_MM = 1e9


def underlay_of(project: Project, underlay_id: str) -> Underlay:
    """The underlay with this id; DocumentError if there is none."""
    for underlay in project.underlays:
        if underlay.id == underlay_id:
            return underlay
    raise DocumentError(f"There is no picture {underlay_id}.")


def new_underlay(project: Project, underlay: Underlay) -> tuple[Project, str]:
    """Put an underlay on top of the others, under an id of its own; returns both.

    Where it says where it lies in the world, and another does so too and lies within 1 km, the
    two are laid as they lie to each other; else it stays where it is.
    """
    number = next_number([u.id for u in project.underlays], "u")
    placed = msgspec.structs.replace(underlay, id=f"u{number}", origin=_beside(project, underlay))
    return changed(project, underlays=(*project.underlays, placed)), placed.id


def _beside(project: Project, new: Underlay) -> Point:
    for old in project.underlays:
        if new.world is None or old.world is None:
            continue
        away = (new.world[0] - old.world[0], new.world[1] - old.world[1])
        if math.hypot(*away) < 1e6:
            return old.origin[0] + away[0], old.origin[1] + away[1]
    return new.origin


def move_underlay(project: Project, underlay_id: str, by: Point) -> Project:
    """Move it by (x, y)."""
    return _free(
        project, underlay_id, lambda u: _at(u, (u.origin[0] + by[0], u.origin[1] + by[1]))
    )


def centre_of(underlay: Underlay) -> Point:
    """Where its centre lies in plan."""
    x, y = underlay.to_plan((underlay.width / 2, underlay.height / 2)).tolist()
    return x, y


def place_underlay(project: Project, underlay_id: str, centre: Point) -> Project:
    """Move it so that its centre lies at `centre`."""
    x, y = centre_of(underlay_of(project, underlay_id))
    return move_underlay(project, underlay_id, (centre[0] - x, centre[1] - y))


def turn_underlay(
    project: Project, underlay_id: str, turn: float, about: Point | None = None
) -> Project:
    """Give it this turn; the place `about` (its centre if None) stays where it is."""
    if not math.isfinite(turn):
        raise DocumentError("A turn is a number of degrees.")

    def turned(u: Underlay) -> Underlay:
        still = centre_of(u) if about is None else about
        pixel = u.to_pixels(still)
        new = msgspec.structs.replace(u, turn=_plain_turn(turn), origin=(0.0, 0.0))
        x, y = new.to_plan(pixel).tolist()
        return _at(new, (still[0] - x, still[1] - y))

    return _free(project, underlay_id, turned)


def square_underlay(
    project: Project, underlay_id: str, edges: Sequence[tuple[Point, Point]]
) -> Project:
    """Turn it so that edges of the house, two places of the plan each, lie level or upright.

    The first point of the first edge stays where it is.
    """
    try:
        by = square_turn(edges)
    except ValueError as error:
        raise DocumentError("The two ends of an edge must lie apart.") from error
    old = underlay_of(project, underlay_id)
    return turn_underlay(project, underlay_id, old.turn + by, edges[0][0])


def set_scale(
    project: Project, underlay_id: str, mm_per_pixel: float, about: Point | None = None
) -> Project:
    """Give it this scale; the place `about` (its centre if None) stays where it is."""
    return _free(project, underlay_id, lambda u: _scaled(u, mm_per_pixel, about, ()))


def add_distance(project: Project, underlay_id: str, a: Point, b: Point, length: float) -> Project:
    """Scale it by one more distance known between two places of the plan.

    The scale is the one that fits all its known distances best; place `a` stays where it is.
    """

    def added(u: Underlay) -> Underlay:
        if math.dist(a, b) == 0:
            raise DocumentError("The two points of a distance must lie apart.")
        (ax, ay), (bx, by) = u.to_pixels([a, b]).tolist()
        distances = (*u.distances, KnownDistance((ax, ay), (bx, by), length))
        return _scaled(u, fit_of(distances).scale, a, distances)

    return _free(project, underlay_id, added)


def remove_distance(project: Project, underlay_id: str, index: int) -> Project:
    """Take a known distance away; the scale then fits the others, or stays if none is left."""

    def without(u: Underlay) -> Underlay:
        if not 0 <= index < len(u.distances):
            raise DocumentError(f"There is no distance {index + 1} to remove.")
        distances = (*u.distances[:index], *u.distances[index + 1 :])
        if not distances:
            return msgspec.structs.replace(u, distances=())
        return _scaled(u, fit_of(distances).scale, None, distances)

    return _free(project, underlay_id, without)


def fit_of(distances: Sequence[KnownDistance]) -> ScaleFit:
    """The scale (mm per pixel) that fits known distances best, and by how much it misses each."""
    return fit_scale([d.span for d in distances], [d.length for d in distances])


def fit_sentence(distances: Sequence[KnownDistance], units: Units) -> str:
    """How the scale was found and how well the distances agree, in words.

    >>> two = [KnownDistance((0, 0), (3, 0), 30.0), KnownDistance((0, 0), (4, 0), 39.0)]
    >>> fit_sentence(two, Units()), fit_sentence(two[:1], Units("metric"))
    ('2 distances fit within 1/8 in.', 'From one distance.')
    """
    if not distances:
        return "No distance is known."
    if len(distances) == 1:
        return "From one distance."
    return f"{len(distances)} distances fit within {miss_words(fit_of(distances).worst, units)}."


def miss_words(mm: float, units: Units) -> str:
    """By how much something is missed, rounded up: in inches up to a foot, else as any length.

    >>> miss_words(-38.0, Units()), miss_words(0.0, Units()), miss_words(400.0, Units())
    ('1 1/2 in', '1/8 in', '1\\'-3 3/4"')
    """
    size = abs(mm)
    if units.system == "metric":
        return f"{max(1, math.ceil(size - 1e-6))} mm"
    parts = max(1, math.ceil(size / 25.4 * units.fraction - 1e-6))
    whole, rest = divmod(parts, units.fraction)
    if whole >= 12:
        return format_length(parts * 25.4 / units.fraction, units)
    if not rest:
        return f"{whole} in"
    shared = math.gcd(rest, units.fraction)
    fraction = f"{rest // shared}/{units.fraction // shared} in"
    return f"{whole} {fraction}" if whole else fraction


def change_order(project: Project, underlay_id: str, up: int) -> Project:
    """Move it up in the pile by so many places, or down if negative; it stops at the ends."""
    pile = list(project.underlays)
    old = pile.index(underlay_of(project, underlay_id))
    underlay = pile.pop(old)
    pile.insert(min(max(old + up, 0), len(pile)), underlay)
    return changed(project, underlays=tuple(pile))


def _free(project: Project, underlay_id: str, change: Callable[[Underlay], Underlay]) -> Project:
    old = underlay_of(project, underlay_id)
    if old.locked:
        raise DocumentError(f"'{old.title}' is locked in its place; unlock it first.")
    new = change(old)
    if new == old:
        return project
    return changed(project, underlays=tuple(new if u is old else u for u in project.underlays))


def _scaled(
    u: Underlay, mm_per_pixel: float, about: Point | None, distances: tuple[KnownDistance, ...]
) -> Underlay:
    still = centre_of(u) if about is None else about
    pixel = u.to_pixels(still)
    new = msgspec.structs.replace(
        u, mm_per_pixel=mm_per_pixel, scaled=True, distances=distances, origin=(0.0, 0.0)
    )
    x, y = new.to_plan(pixel).tolist()
    return _at(new, (still[0] - x, still[1] - y))


def _at(underlay: Underlay, origin: Point) -> Underlay:
    if not all(math.isfinite(v) and abs(v) < MOST_MM for v in origin):
        raise DocumentError(f"'{underlay.title}' would lie nowhere or too far away.")
    return msgspec.structs.replace(underlay, origin=(float(origin[0]), float(origin[1])))


def _plain_turn(turn: float) -> float:
    """The same turn in (-180, 180].

    >>> _plain_turn(270.0), _plain_turn(-180.0), _plain_turn(12.5)
    (-90.0, 180.0, 12.5)
    """
    rest = math.fmod(turn, 360.0)
    if rest > 180.0:
        return rest - 360.0
    return rest + 360.0 if rest <= -180.0 else rest
