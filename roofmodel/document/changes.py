"""What edits are made of: change one part and keep every other as the same object.

Ids are a letter and a number. A number is never given twice: the next one is above all in use
and above `ids_used`, which remembers those that are gone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import TypeVar

import msgspec

from roofmodel.document.parts import DrawnPlane, Opening, Point
from roofmodel.document.types import Building, Project, Section
from roofmodel.errors import DocumentError

Part = Section | DrawnPlane | Opening
_S = TypeVar("_S", bound=msgspec.Struct)
_P = TypeVar("_P", Section, DrawnPlane, Opening)


def changed(struct: _S, **fields: object) -> _S:
    """The struct with these fields, or the same object if they are what it has already."""
    if all(getattr(struct, name) == value for name, value in fields.items()):
        return struct
    return msgspec.structs.replace(struct, **fields)


def part_of(project: Project, part_id: str) -> Part:
    """The section, drawn plane or opening with this id; DocumentError if there is none."""
    building = project.building_of(part_id)
    parts: tuple[Part, ...] = (*building.sections, *building.planes, *building.openings)
    return next(p for p in parts if p.id == part_id)


def in_part(project: Project, old: _P, change: Callable[[_P], _P]) -> Project:
    """The project with one part changed; the same project if `change` returns what it got."""
    new = change(old)
    if new is old:
        return project
    group = group_of(old)

    def in_building(building: Building) -> Building:
        parts = getattr(building, group)
        return changed(building, **{group: tuple(new if p is old else p for p in parts)})

    buildings = tuple(
        in_building(b) if any(p is old for p in getattr(b, group)) else b
        for b in project.buildings
    )
    return msgspec.structs.replace(project, buildings=buildings)


def in_building(
    project: Project, building_id: str, change: Callable[[Building], Building]
) -> Project:
    """The project with one building changed; the same if `change` returns what it got."""
    old = project.building(building_id)
    new = change(old)
    if new is old:
        return project
    buildings = tuple(new if b is old else b for b in project.buildings)
    return msgspec.structs.replace(project, buildings=buildings)


def group_of(part: Part) -> str:
    """The field of a building that holds parts of this sort."""
    if isinstance(part, Section):
        return "sections"
    return "planes" if isinstance(part, DrawnPlane) else "openings"


def with_part(project: Project, part: Part, building_id: str | None) -> Project:
    """The project with one more part, in the building named or else the first."""
    project = with_building(project)
    target = project.buildings[0].id if building_id is None else building_id
    group = group_of(part)
    return in_building(
        project, target, lambda b: changed(b, **{group: (*getattr(b, group), part)})
    )


def with_building(project: Project) -> Project:
    """The project, with a building if it has none."""
    if project.buildings:
        return project
    project, building_id = new_id(project, "b")
    return msgspec.structs.replace(project, buildings=(Building(building_id, "House"),))


def new_id(project: Project, letter: str) -> tuple[Project, str]:
    """The project that remembers it has given the id, and the id."""
    taken = [b.id for b in project.buildings]
    taken += [i for b in project.buildings for i in b.part_ids()]
    number = next_number(taken, letter, project.ids_used)
    return changed(project, ids_used=number), f"{letter}{number}"


def next_number(taken: Iterable[str], letter: str, used: int = 0) -> int:
    """One more than `used` and than the highest number in use with the letter."""
    numbers = [int(t[1:]) for t in taken if t[:1] == letter and t[1:].isdecimal()]
    return max(used, *numbers, 0) + 1


def free_name(names: Collection[str], name: str | None, kind: str) -> str:
    """The name without spaces around it, or else `kind` with the first free number."""
    if name is not None and name.strip():
        return name.strip()
    number = 1
    while f"{kind} {number}" in names:
        number += 1
    return f"{kind} {number}"


def checked_name(name: object, what: str) -> str:
    """The name without spaces around it; DocumentError if nothing is left."""
    text = name.strip() if isinstance(name, str) else ""
    if not text:
        raise DocumentError(f"A {what} needs a name.")
    return text


def ring_of(corners: Iterable[Sequence[float]]) -> tuple[Point, ...]:
    """Corners as plain points, a repeated closing corner dropped."""
    points = tuple((float(x), float(y)) for x, y in corners)
    return points[:-1] if len(points) > 1 and points[0] == points[-1] else points


def turned_left(corners: Iterable[Sequence[float]], *, left: bool = True) -> tuple[Point, ...]:
    """The ring counter-clockwise (or clockwise, with `left` false), from the same corner on."""
    points = ring_of(corners)
    if points and (_doubled_area(points) < 0) == left:
        return (points[0], *reversed(points[1:]))
    return points


def _doubled_area(points: Sequence[Point]) -> float:
    """Twice the signed area, positive if counter-clockwise; from the first corner, so that
    far-away places lose no digits."""
    x0, y0 = points[0]
    moved = [(x - x0, y - y0) for x, y in points]
    return sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(moved, [*moved[1:], moved[0]], strict=True)
    )
