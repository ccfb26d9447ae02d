"""Edits: functions Project -> Project. Each raises DocumentError where the result could not be.

An edit keeps every part it does not change as the same object, so that caches and undo can share
them; an edit that changes nothing returns the project it was given. Rings and corners are
counted from 0; ring 0 is the outer ring. Lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Literal

import msgspec

from roofmodel.document.changes import (
    changed,
    checked_name,
    free_name,
    in_part,
    new_id,
    next_number,
    turned_left,
    with_building,
    with_part,
)
from roofmodel.document.parts import Point
from roofmodel.document.types import (
    Job,
    OutlineEdge,
    Project,
    Ring,
    Section,
    Step,
    Underlay,
    Units,
)
from roofmodel.errors import DocumentError


def new_section(
    project: Project,
    corners: Sequence[Point],
    name: str | None = None,
    courtyards: Sequence[Sequence[Point]] = (),
    building: str | None = None,
) -> tuple[Project, str]:
    """Add a section to the building (None: the first); returns the project and its id.

    A repeated closing corner is dropped. The outer ring is turned counter-clockwise and the
    courtyards clockwise, so the roof lies at the left of every edge.
    """
    project, section_id = new_id(with_building(project), "s")
    rings: list[Ring] = []
    used = 0
    for number, ring in enumerate([corners, *courtyards]):
        points = turned_left(ring, left=number == 0)
        edges = tuple(OutlineEdge(f"e{used + k}") for k in range(1, len(points) + 1))
        used += len(points)
        rings.append(Ring(points, edges))
    free = free_name({s.name for s in project.sections()}, name, "Section")
    section = Section(section_id, free, tuple(rings), ids_used=used)
    return with_part(project, section, building), section_id


def rename_section(project: Project, section_id: str, name: str) -> Project:
    """Give the section another name; spaces around it are dropped."""
    text = checked_name(name, "section")
    return _in_section(project, section_id, lambda s: changed(s, name=text))


def move_corner(project: Project, section_id: str, ring: int, index: int, to: Point) -> Project:
    """Put one corner at `to`."""

    def moved(old: Ring) -> Ring:
        _check_index(index, len(old.corners), "corner")
        at = (float(to[0]), float(to[1]))
        return changed(old, corners=(*old.corners[:index], at, *old.corners[index + 1 :]))

    return _in_ring(project, section_id, ring, moved)


def add_corner(
    project: Project, section_id: str, ring: int, edge_index: int, at: Point
) -> Project:
    """Split an edge at `at`: the part before keeps its id, the part after copies the rest."""

    def split(section: Section) -> Section:
        _check_index(ring, len(section.rings), "ring")
        old = section.rings[ring]
        _check_index(edge_index, len(old.edges), "edge")
        number = next_number((e.id for r in section.rings for e in r.edges), "e", section.ids_used)
        after = edge_index + 1
        edge = msgspec.structs.replace(old.edges[edge_index], id=f"e{number}")
        point = (float(at[0]), float(at[1]))
        new = Ring(
            (*old.corners[:after], point, *old.corners[after:]),
            (*old.edges[:after], edge, *old.edges[after:]),
        )
        rings = tuple(new if r is old else r for r in section.rings)
        return msgspec.structs.replace(section, rings=rings, ids_used=number)

    return _in_section(project, section_id, split)


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
        lambda e: changed(e, profile=(Step(e.profile[0].height, slope),)),
    )


def set_profile(
    project: Project, section_id: str, edge_ids: Collection[str], profile: Iterable[Step]
) -> Project:
    """Give the edges this profile."""
    steps = tuple(profile)
    return _in_edges(project, section_id, edge_ids, lambda e: changed(e, profile=steps))


def set_overhang(
    project: Project, section_id: str, edge_id: str | None, overhang: float | None
) -> Project:
    """Set the overhang of one edge (None: the section's again), or of the section."""
    if edge_id is not None:
        return _in_edges(project, section_id, [edge_id], lambda e: changed(e, overhang=overhang))
    if overhang is None:
        raise DocumentError("A section needs an overhang; write 0 for none.")
    return _in_section(project, section_id, lambda s: changed(s, overhang=overhang))


def set_eave_height(project: Project, section_id: str, height: float) -> Project:
    """Set the height of the section's eave above the job's datum."""
    return _in_section(project, section_id, lambda s: changed(s, eave_height=height))


def set_line(project: Project, section_id: str, line: Literal["drip", "wall"]) -> Project:
    """Say whether the outline is the drip line or the wall line."""
    if line not in ("drip", "wall"):
        raise DocumentError("An outline is a drip line or a wall line.")
    return _in_section(project, section_id, lambda s: changed(s, line=line))


def set_deck_height(project: Project, section_id: str, height: float | None) -> Project:
    """Cut the section's roof off flat at `height` above its eave; None takes the deck away."""
    return _in_section(project, section_id, lambda s: changed(s, deck_height=height))


def set_level(project: Project, section_id: str, level: Literal["fascias", "plates"]) -> Project:
    """Say what lies level around the section: its fascias or its wall plates."""
    if level not in ("fascias", "plates"):
        raise DocumentError("What lies level around a section is its fascias or its plates.")
    return _in_section(project, section_id, lambda s: changed(s, level=level))


def match_overhangs(project: Project, section_id: str, overhang: float) -> Project:
    """Give each sloping edge the overhang at which level fascias need no taller wall.

    The drop from plate to fascia is overhang × slope; it becomes alike for all. `overhang` (mm)
    is that of the section's first sloping edge; gable ends keep theirs.
    """

    def matched(section: Section) -> Section:
        slopes = [e.profile[0].slope for r in section.rings for e in r.edges]
        first = next((m for m in slopes if m is not None), None)
        if first is None:
            raise DocumentError(f"{section.name} has no edge that slopes; give one a pitch.")

        def edge_matched(edge: OutlineEdge) -> OutlineEdge:
            slope = edge.profile[0].slope
            if slope is None:
                return edge
            own = overhang if slope == first else overhang * first / slope
            return changed(edge, overhang=own)

        return _with_edges(section, edge_matched)

    return _in_section(project, section_id, matched)


def change_underlay(project: Project, underlay_id: str, **fields: object) -> Project:
    """Change fields of a picture, such as its scale, place or opacity; never its id."""
    unknown = fields.keys() - (set(Underlay.__struct_fields__) - {"id"})
    if unknown:
        raise DocumentError(f"A picture has no '{min(unknown)}' that could be changed.")
    _check_underlay(project, underlay_id)
    underlays = tuple(
        changed(u, **fields) if u.id == underlay_id else u for u in project.underlays
    )
    return changed(project, underlays=underlays)


def remove_underlay(project: Project, underlay_id: str) -> Project:
    """Take a picture away."""
    _check_underlay(project, underlay_id)
    kept = tuple(u for u in project.underlays if u.id != underlay_id)
    return msgspec.structs.replace(project, underlays=kept)


def set_job(project: Project, job: Job) -> Project:
    """Replace the job's details."""
    return changed(project, job=job)


def set_units(project: Project, units: Units) -> Project:
    """Replace the units in which lengths are shown."""
    return changed(project, units=units)


def _in_section(
    project: Project, section_id: str, change: Callable[[Section], Section]
) -> Project:
    return in_part(project, project.section(section_id), change)


def _in_ring(
    project: Project, section_id: str, ring: int, change: Callable[[Ring], Ring]
) -> Project:
    def in_section(section: Section) -> Section:
        _check_index(ring, len(section.rings), "ring")
        old = section.rings[ring]
        new = change(old)
        rings = tuple(new if r is old else r for r in section.rings)
        return section if new is old else msgspec.structs.replace(section, rings=rings)

    return _in_section(project, section_id, in_section)


def _in_edges(
    project: Project,
    section_id: str,
    edge_ids: Collection[str],
    change: Callable[[OutlineEdge], OutlineEdge],
) -> Project:
    wanted = set(edge_ids)

    def in_section(section: Section) -> Section:
        missing = wanted - {e.id for r in section.rings for e in r.edges}
        if missing:
            raise DocumentError(f"{section.name} has no edge {min(missing)}.")
        return _with_edges(section, lambda e: change(e) if e.id in wanted else e)

    return _in_section(project, section_id, in_section)


def _with_edges(section: Section, change: Callable[[OutlineEdge], OutlineEdge]) -> Section:
    """The section with its edges changed; rings and section stay the same objects if they can."""

    def in_ring(ring: Ring) -> Ring:
        edges = tuple(change(e) for e in ring.edges)
        same = all(a is b for a, b in zip(edges, ring.edges, strict=True))
        return ring if same else msgspec.structs.replace(ring, edges=edges)

    rings = tuple(in_ring(r) for r in section.rings)
    same = all(a is b for a, b in zip(rings, section.rings, strict=True))
    return section if same else msgspec.structs.replace(section, rings=rings)


def _check_index(index: int, count: int, what: str) -> None:
    if not 0 <= index < count:
        raise DocumentError(f"There is no {what} {index}; they are counted from 0 to {count - 1}.")


def _check_underlay(project: Project, underlay_id: str) -> None:
    if all(u.id != underlay_id for u in project.underlays):
        raise DocumentError(f"There is no picture {underlay_id}.")
