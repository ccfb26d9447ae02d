"""Edits of everything beside outlines: drawn planes, openings, buildings, any part as a whole.

As in `edits`: Project -> Project, DocumentError where the result could not be, what is not
changed stays the same object. What was set by hand for a roof plane or edge (coverings, kinds)
is kept when its place is gone, and reported by the results.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Final, Literal

import msgspec

from roofmodel.document.changes import (
    Part,
    changed,
    checked_name,
    free_name,
    group_of,
    in_building,
    in_part,
    new_id,
    part_of,
    turned_left,
    with_building,
    with_part,
)
from roofmodel.document.parts import ByEdge, ByHeights, BySlope, DrawnPlane, Opening, Point
from roofmodel.document.types import Building, Project, Ring, Section
from roofmodel.errors import DocumentError

OpeningKind = Literal["chimney", "skylight", "pipe"]

STANDS_OUT_MM: Final[Mapping[str, float]] = {"chimney": 914.4, "skylight": 101.6, "pipe": 304.8}
"""How far a new opening stands out above the roof: 3 ft, 4 in, 12 in; for pictures only."""

_Move = Callable[[float, float], Point]


def new_plane(
    project: Project,
    corners: Sequence[Point],
    lies: BySlope | ByHeights | ByEdge,
    name: str | None = None,
    building: str | None = None,
) -> tuple[Project, str]:
    """Add a drawn plane to the building (None: the first); returns the project and its id."""
    project, plane_id = new_id(with_building(project), "p")
    free = free_name({p.name for p in project.planes()}, name, "Drawn plane")
    plane = DrawnPlane(plane_id, free, turned_left(corners), lies)
    return with_part(project, plane, building), plane_id


def change_plane(project: Project, plane_id: str, **fields: object) -> Project:
    """Change fields of a drawn plane, such as how it lies or its corners; never its id."""
    fields = _checked_fields(DrawnPlane, "drawn plane", fields)
    return in_part(project, project.plane(plane_id), lambda p: changed(p, **fields))


def new_opening(
    project: Project,
    kind: OpeningKind,
    corners: Sequence[Point],
    name: str | None = None,
    building: str | None = None,
    saddle: bool = False,
) -> tuple[Project, str]:
    """Add an opening to the building (None: the first); returns the project and its id."""
    _check_kind(kind)
    project, opening_id = new_id(with_building(project), "o")
    free = free_name({o.name for o in project.openings()}, name, kind.capitalize())
    opening = Opening(
        opening_id, free, kind, turned_left(corners), saddle, height=STANDS_OUT_MM[kind]
    )
    return with_part(project, opening, building), opening_id


def change_opening(project: Project, opening_id: str, **fields: object) -> Project:
    """Change fields of an opening, such as its kind, corners or saddle; never its id."""
    fields = _checked_fields(Opening, "opening", fields)
    if "kind" in fields:
        _check_kind(fields["kind"])
    return in_part(project, project.opening(opening_id), lambda o: changed(o, **fields))


def set_open_below(project: Project, part_id: str, open_below: bool) -> Project:
    """Say whether a section (a carport) or a drawn plane (a porch) is open below."""
    part = part_of(project, part_id)
    if isinstance(part, Opening):
        raise DocumentError(f"{part.name} is an opening; only a roof can be open below.")
    return _changed_part(project, part, open_below=open_below)


def rename_part(project: Project, part_id: str, name: str) -> Project:
    """Give a section, drawn plane or opening another name; spaces around it are dropped."""
    part = part_of(project, part_id)
    return _changed_part(project, part, name=checked_name(name, _word(part)))


def remove_part(project: Project, part_id: str) -> Project:
    """Take a section, drawn plane or opening away."""
    part = part_of(project, part_id)
    group = group_of(part)
    building = project.building_of(part_id)
    kept = tuple(p for p in getattr(building, group) if p is not part)
    return in_building(project, building.id, lambda b: changed(b, **{group: kept}))


def move_part(project: Project, part_id: str, dx: float, dy: float) -> Project:
    """Move a section, drawn plane or opening by (dx, dy) mm, with the heights known of it."""
    if dx == 0.0 and dy == 0.0:
        part_of(project, part_id)
        return project
    return _moved(project, part_id, lambda x, y: (x + dx, y + dy), 0.0)


def turn_part(
    project: Project, part_id: str, degrees: float, about: Point | None = None
) -> Project:
    """Turn a part counter-clockwise about a point, mm (None: the middle of its extent)."""
    part = part_of(project, part_id)
    if degrees == 0.0:
        return project
    if about is None:
        corners = part.rings[0].corners if isinstance(part, Section) else part.corners
        xs, ys = zip(*corners, strict=True)
        about = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    x0, y0 = about

    def turn(x: float, y: float) -> Point:
        return x0 + c * (x - x0) - s * (y - y0), y0 + s * (x - x0) + c * (y - y0)

    return _moved(project, part_id, turn, degrees)


def new_building(project: Project, name: str | None = None) -> tuple[Project, str]:
    """Add a building without parts; returns the project and the building's id."""
    project, building_id = new_id(project, "b")
    free = free_name({b.name for b in project.buildings}, name, "Building")
    building = Building(building_id, free)
    return msgspec.structs.replace(project, buildings=(*project.buildings, building)), building_id


def rename_building(project: Project, building_id: str, name: str) -> Project:
    """Give a building another name; spaces around it are dropped."""
    text = checked_name(name, "building")
    return in_building(project, building_id, lambda b: changed(b, name=text))


def remove_building(project: Project, building_id: str) -> Project:
    """Take a building away with all its parts; the last one stays."""
    building = project.building(building_id)
    if len(project.buildings) == 1:
        raise DocumentError(f"{building.name} is the only building of the job, so it stays.")
    kept = tuple(b for b in project.buildings if b is not building)
    return msgspec.structs.replace(project, buildings=kept)


def move_to_building(project: Project, part_id: str, building_id: str) -> Project:
    """Make a part belong to another building; it stays where it stands."""
    part, before = part_of(project, part_id), project.building_of(part_id)
    if project.building(building_id) is before:
        return project
    return with_part(remove_part(project, part_id), part, building_id)


def _changed_part(project: Project, part: Part, **fields: object) -> Project:
    if isinstance(part, Section):
        return in_part(project, part, lambda s: changed(s, **fields))
    if isinstance(part, DrawnPlane):
        return in_part(project, part, lambda p: changed(p, **fields))
    return in_part(project, part, lambda o: changed(o, **fields))


def _moved(project: Project, part_id: str, move: _Move, turned: float) -> Project:
    part = part_of(project, part_id)
    if isinstance(part, Section):
        ring_moved = partial(_ring_moved, move=move)
        return _changed_part(project, part, rings=tuple(map(ring_moved, part.rings)))
    corners = tuple(move(x, y) for x, y in part.corners)
    if isinstance(part, DrawnPlane):
        lies = _lies_moved(part.lies, move, turned)
        return _changed_part(project, part, corners=corners, lies=lies)
    return _changed_part(project, part, corners=corners)


def _ring_moved(ring: Ring, move: _Move) -> Ring:
    corners = tuple(move(x, y) for x, y in ring.corners)
    return msgspec.structs.replace(ring, corners=corners)


def _lies_moved(
    lies: BySlope | ByHeights | ByEdge, move: _Move, turned: float
) -> BySlope | ByHeights | ByEdge:
    if isinstance(lies, BySlope):
        x, y, z = lies.through
        bearing = lies.bearing - turned if turned else lies.bearing
        return msgspec.structs.replace(lies, through=(*move(x, y), z), bearing=bearing)
    if isinstance(lies, ByHeights):
        (a, b, c) = ((*move(x, y), z) for x, y, z in lies.points)
        return ByHeights((a, b, c))
    return lies


def _checked_fields(
    struct: type[msgspec.Struct], what: str, fields: dict[str, object]
) -> dict[str, object]:
    """The fields in the form that the document keeps; DocumentError names one there is not."""
    unknown = fields.keys() - (set(struct.__struct_fields__) - {"id"})
    if unknown:
        raise DocumentError(f"The {what} has no '{min(unknown)}' that could be changed.")
    checked = dict(fields)
    if "name" in fields:
        checked["name"] = checked_name(fields["name"], what)
    corners = fields.get("corners")
    if isinstance(corners, Sequence):
        checked["corners"] = turned_left(corners)
    return checked


def _check_kind(kind: object) -> None:
    if kind not in STANDS_OUT_MM:
        raise DocumentError("An opening is a chimney, a skylight or a pipe.")


def _word(part: Part) -> str:
    if isinstance(part, Section):
        return "section"
    return "drawn plane" if isinstance(part, DrawnPlane) else part.kind
