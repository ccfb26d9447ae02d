"""Edits: functions Project -> Project. Each raises DocumentError where the result could not be.

An edit keeps every part it does not change as the same object, so that caches and undo can share
them; an edit that changes nothing returns the project it was given. Rings and corners are
counted from 0; ring 0 is the outer ring. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Literal, TypeVar

import msgspec

from roofmodel.document.types import (
    Building,
    Job,
    OutlineEdge,
    Point,
    Project,
    Ring,
    Section,
    Step,
    Underlay,
    Units,
)
from roofmodel.errors import DocumentError
from roofmodel.systems import RoofingSystem

_S = TypeVar("_S", bound=msgspec.Struct)


def new_section(
    project: Project,
    corners: Sequence[Point],
    name: str | None = None,
    courtyards: Sequence[Sequence[Point]] = (),
) -> tuple[Project, str]:
    """Add a section to the first building; returns the project and the section's id.

    A repeated closing corner is dropped. The outer ring is turned counter-clockwise and the
    courtyards clockwise, so the roof lies at the left of every edge.
    """
    taken = {b.id for b in project.buildings} | {s.id for s in project.sections()}
    section_id = _unused("s", taken)
    rings: list[Ring] = []
    used: set[str] = set()
    for number, ring in enumerate([corners, *courtyards]):
        points = _open_ring(ring)
        if (_doubled_area(points) < 0) == (number == 0):
            points = (points[0], *reversed(points[1:])) if points else points
        edges = []
        for _ in points:
            edge_id = _unused("e", used)
            used.add(edge_id)
            edges.append(OutlineEdge(edge_id))
        rings.append(Ring(points, tuple(edges)))
    section = Section(section_id, _free_name(project, name), tuple(rings))
    buildings = project.buildings or (Building(_unused("b", taken), "House"),)
    first = buildings[0]
    first = msgspec.structs.replace(first, sections=(*first.sections, section))
    return msgspec.structs.replace(project, buildings=(first, *buildings[1:])), section_id


def remove_section(project: Project, section_id: str) -> Project:
    """Take the section away."""
    project.section(section_id)
    buildings = tuple(
        msgspec.structs.replace(b, sections=tuple(s for s in b.sections if s.id != section_id))
        if any(s.id == section_id for s in b.sections)
        else b
        for b in project.buildings
    )
    return msgspec.structs.replace(project, buildings=buildings)


def rename_section(project: Project, section_id: str, name: str) -> Project:
    """Give the section another name; spaces around it are dropped."""
    if not name.strip():
        raise DocumentError("A section needs a name.")
    return _in_section(project, section_id, lambda s: _changed(s, name=name.strip()))


def move_corner(project: Project, section_id: str, ring: int, index: int, to: Point) -> Project:
    """Put one corner at `to`."""

    def moved(old: Ring) -> Ring:
        _check_index(index, len(old.corners), "corner")
        at = (float(to[0]), float(to[1]))
        return _changed(old, corners=(*old.corners[:index], at, *old.corners[index + 1 :]))

    return _in_ring(project, section_id, ring, moved)


def add_corner(
    project: Project, section_id: str, ring: int, edge_index: int, at: Point
) -> Project:
    """Split an edge at `at`: the part before keeps its id, the part after copies the rest."""
    used = {e.id for r in project.section(section_id).rings for e in r.edges}

    def split(old: Ring) -> Ring:
        _check_index(edge_index, len(old.edges), "edge")
        after = edge_index + 1
        edge = msgspec.structs.replace(old.edges[edge_index], id=_unused("e", used))
        point = (float(at[0]), float(at[1]))
        return Ring(
            (*old.corners[:after], point, *old.corners[after:]),
            (*old.edges[:after], edge, *old.edges[after:]),
        )

    return _in_ring(project, section_id, ring, split)


def remove_corner(project: Project, section_id: str, ring: int, index: int) -> Project:
    """Take one corner away: the edge that ends there goes on to the next corner."""

    def joined(old: Ring) -> Ring:
        _check_index(index, len(old.corners), "corner")
        if len(old.corners) <= 3:
            raise DocumentError("An outline needs at least three corners; remove the section.")
        return Ring(
            (*old.corners[:index], *old.corners[index + 1 :]),
            (*old.edges[:index], *old.edges[index + 1 :]),
        )

    return _in_ring(project, section_id, ring, joined)


def set_slope(
    project: Project, section_id: str, edge_ids: Collection[str], slope: float | None
) -> Project:
    """Give the edges one slope (rise over run), None for a gable; their first height stays."""
    return _in_edges(
        project,
        section_id,
        edge_ids,
        lambda e: _changed(e, profile=(Step(e.profile[0].height, slope),)),
    )


def set_profile(
    project: Project, section_id: str, edge_ids: Collection[str], profile: Iterable[Step]
) -> Project:
    """Give the edges this profile."""
    steps = tuple(profile)
    return _in_edges(project, section_id, edge_ids, lambda e: _changed(e, profile=steps))


def set_overhang(
    project: Project, section_id: str, edge_id: str | None, overhang: float | None
) -> Project:
    """Set the overhang of one edge (None: the section's again), or of the section."""
    if edge_id is not None:
        return _in_edges(project, section_id, [edge_id], lambda e: _changed(e, overhang=overhang))
    if overhang is None:
        raise DocumentError("A section needs an overhang; write 0 for none.")
    return _in_section(project, section_id, lambda s: _changed(s, overhang=overhang))


def set_eave_height(project: Project, section_id: str, height: float) -> Project:
    """Set the height of the section's eave above the job's datum."""
    return _in_section(project, section_id, lambda s: _changed(s, eave_height=height))


def set_line(project: Project, section_id: str, line: Literal["drip", "wall"]) -> Project:
    """Say whether the outline is the drip line or the wall line."""
    if line not in ("drip", "wall"):
        raise DocumentError("An outline is a drip line or a wall line.")
    return _in_section(project, section_id, lambda s: _changed(s, line=line))


def set_deck_height(project: Project, section_id: str, height: float | None) -> Project:
    """Cut the section's roof off flat at `height` above its eave; None takes the deck away."""
    return _in_section(project, section_id, lambda s: _changed(s, deck_height=height))


def add_underlay(project: Project, underlay: Underlay) -> Project:
    """Put a picture on top of the others."""
    if any(u.id == underlay.id for u in project.underlays):
        raise DocumentError(f"There already is a picture {underlay.id}.")
    return msgspec.structs.replace(project, underlays=(*project.underlays, underlay))


def change_underlay(project: Project, underlay_id: str, **fields: object) -> Project:
    """Change fields of a picture, such as its scale, place or opacity; never its id."""
    unknown = fields.keys() - (set(Underlay.__struct_fields__) - {"id"})
    if unknown:
        raise DocumentError(f"A picture has no '{min(unknown)}' that could be changed.")
    _check_underlay(project, underlay_id)
    underlays = tuple(
        _changed(u, **fields) if u.id == underlay_id else u for u in project.underlays
    )
    return _changed(project, underlays=underlays)


def remove_underlay(project: Project, underlay_id: str) -> Project:
    """Take a picture away."""
    _check_underlay(project, underlay_id)
    kept = tuple(u for u in project.underlays if u.id != underlay_id)
    return msgspec.structs.replace(project, underlays=kept)


def set_job(project: Project, job: Job) -> Project:
    """Replace the job's details."""
    return _changed(project, job=job)


def set_units(project: Project, units: Units) -> Project:
    """Replace the units in which lengths are shown."""
    return _changed(project, units=units)


def set_system(project: Project, system: RoofingSystem) -> Project:
    """Replace the roofing system the job is covered with."""
    return _changed(project, system=system)


def _changed(struct: _S, **fields: object) -> _S:
    """The struct with these fields, or the same object if they are what it has already."""
    if all(getattr(struct, name) == value for name, value in fields.items()):
        return struct
    return msgspec.structs.replace(struct, **fields)


def _in_section(
    project: Project, section_id: str, change: Callable[[Section], Section]
) -> Project:
    old = project.section(section_id)
    new = change(old)
    if new is old:
        return project
    buildings = tuple(
        msgspec.structs.replace(b, sections=tuple(new if s is old else s for s in b.sections))
        if any(s is old for s in b.sections)
        else b
        for b in project.buildings
    )
    return msgspec.structs.replace(project, buildings=buildings)


def _in_ring(
    project: Project, section_id: str, ring: int, change: Callable[[Ring], Ring]
) -> Project:
    def changed(section: Section) -> Section:
        _check_index(ring, len(section.rings), "ring")
        old = section.rings[ring]
        new = change(old)
        rings = tuple(new if r is old else r for r in section.rings)
        return section if new is old else msgspec.structs.replace(section, rings=rings)

    return _in_section(project, section_id, changed)


def _in_edges(
    project: Project,
    section_id: str,
    edge_ids: Collection[str],
    change: Callable[[OutlineEdge], OutlineEdge],
) -> Project:
    wanted = set(edge_ids)

    def changed_ring(ring: Ring) -> Ring:
        edges = tuple(change(e) if e.id in wanted else e for e in ring.edges)
        same = all(a is b for a, b in zip(edges, ring.edges, strict=True))
        return ring if same else msgspec.structs.replace(ring, edges=edges)

    def changed(section: Section) -> Section:
        missing = wanted - {e.id for r in section.rings for e in r.edges}
        if missing:
            raise DocumentError(f"{section.name} has no edge {min(missing)}.")
        rings = tuple(changed_ring(r) for r in section.rings)
        same = all(a is b for a, b in zip(rings, section.rings, strict=True))
        return section if same else msgspec.structs.replace(section, rings=rings)

    return _in_section(project, section_id, changed)


def _check_index(index: int, count: int, what: str) -> None:
    if not 0 <= index < count:
        raise DocumentError(f"There is no {what} {index}; they are counted from 0 to {count - 1}.")


def _check_underlay(project: Project, underlay_id: str) -> None:
    if all(u.id != underlay_id for u in project.underlays):
        raise DocumentError(f"There is no picture {underlay_id}.")


def _unused(letter: str, taken: Collection[str]) -> str:
    """The letter with one number more than the highest in use."""
    numbers = [int(t[1:]) for t in taken if t[:1] == letter and t[1:].isdecimal()]
    return f"{letter}{max(numbers, default=0) + 1}"


def _free_name(project: Project, name: str | None) -> str:
    if name is not None and name.strip():
        return name.strip()
    names = {s.name for s in project.sections()}
    number = 1
    while f"Section {number}" in names:
        number += 1
    return f"Section {number}"


def _open_ring(corners: Sequence[Point]) -> tuple[Point, ...]:
    points = tuple((float(x), float(y)) for x, y in corners)
    return points[:-1] if len(points) > 1 and points[0] == points[-1] else points


def _doubled_area(points: Sequence[Point]) -> float:
    """Twice the signed area, positive if counter-clockwise; from the first corner, so that
    far-away places lose no digits."""
    if not points:
        return 0.0
    x0, y0 = points[0]
    moved = [(x - x0, y - y0) for x, y in points]
    return sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(moved, [*moved[1:], moved[0]], strict=True)
    )
