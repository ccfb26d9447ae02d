"""Heights that can be dragged in 3D, as plain functions over a project.

Vocabulary
----------
handle
    A place of the roof with a mark on it: dragged up or down it sets a height.
eave handle
    On an eave of a section that is selected as a whole: sets the section's eave height.
pitch handle
    At the top of a plane whose edge (or itself) is selected: sets the pitch with which the roof
    rises from its outline edge to that place.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

import msgspec
import numpy as np

from roofmodel.document import Project
from roofmodel.document.edits import set_eave_height, set_profile
from roofmodel.results import Results
from roofmodel.surface import EdgeId, Plane, PlaneId
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import MM_PER_IN, format_length, format_slope
from roofmodel_ui.selection import OutlineEdgeId, PartId, Selectable, outline_edge

LEAST_SLOPE, MOST_SLOPE = 0.02, 5.0
"""A drag goes no flatter and no steeper; what lies beyond is typed."""

PITCH_STEP: Final = 0.25 / 12.0
FREE_PITCH_STEP: Final = 0.01 / 12.0
LEAST_RISE_MM: Final = 25.0
"""Below this rise a height says nothing about a pitch."""

_ALONG: Final = (0.5, 0.25, 0.75, 0.1, 0.9)
"""Shares of an eave at which its handle may stand: something may hide the middle."""

_TWO_PLANES = (EdgeKind.RIDGE, EdgeKind.HIP, EdgeKind.VALLEY)

Place = tuple[float, float, float]


class _Rise(msgspec.Struct, frozen=True):
    """A step of an outline edge's profile that rises from `foot` mm at `slope` before the drag."""

    section: str
    edge: str
    step: int
    foot: float
    slope: float


@dataclass(frozen=True, slots=True)
class Handle:
    """`place` (mm) is where it stood when it was made; a drag starts from there. Of several the
    one of lowest `rank` is shown that can be seen."""

    kind: Literal["eave", "pitch"]
    place: Place
    section: str = ""
    rises: tuple[_Rise, ...] = ()
    rank: int = 0

    @property
    def words(self) -> str:
        """The name of the edit it makes."""
        return "Set eave height" if self.kind == "eave" else "Set pitch"


def handles(results: Results, selection: Iterable[Selectable]) -> list[Handle]:
    """The handles that a selection has: all places for one eave handle, or one pitch handle."""
    chosen = list(selection)
    if len(chosen) == 1 and isinstance(chosen[0], PartId):
        return _eave_handles(results, chosen[0].part)
    steps: dict[tuple[str, str, int], Plane] = {}
    place: Place | None = None
    for item in sorted(chosen, key=str):
        planes, at = _above(results, item)
        if planes and place is None:
            place = at if at is not None else _top(planes[0])
        for plane in planes:
            steps.setdefault((plane.id.section, plane.id.edge, plane.id.step), plane)
    rises = [r for key in steps for r in (_rise(results.project, *key),) if r is not None]
    if place is None or not rises:
        return []
    if any(place[2] - r.foot < LEAST_RISE_MM for r in rises[:1]):
        return []
    return [Handle("pitch", place, rises=tuple(rises))]


def dragged(project: Project, handle: Handle, height: float, *, free: bool = False) -> Project:
    """The project with the handle's place at `height` mm; in steps unless `free`.

    Eaves go in whole inches (10 mm), pitches in quarters of an inch in 12. Raises DocumentError
    where the document refuses.
    """
    if handle.kind == "eave":
        section = project.section(handle.section)
        rise = height - handle.place[2]
        in_feet = project.units.system == "feet"
        step = MM_PER_IN if in_feet else 10.0
        if free:
            step = MM_PER_IN / project.units.fraction if in_feet else 1.0
        return set_eave_height(
            project, handle.section, round((section.eave_height + rise) / step) * step
        )
    step = FREE_PITCH_STEP if free else PITCH_STEP
    first = handle.rises[0]
    wanted = _scaled(first, handle.place[2], height)
    # The first pitch goes in steps; others follow so that they still meet at one height.
    wanted = min(max(round(wanted / step) * step, LEAST_SLOPE), MOST_SLOPE)
    height = first.foot + (handle.place[2] - first.foot) * wanted / first.slope
    for one in handle.rises:
        slope = min(max(_scaled(one, handle.place[2], height), LEAST_SLOPE), MOST_SLOPE)
        found = outline_edge(project, OutlineEdgeId(one.section, one.edge))
        if found is None:
            continue
        profile = tuple(
            msgspec.structs.replace(s, slope=slope) if k == one.step else s
            for k, s in enumerate(found[1].profile)
        )
        project = set_profile(project, one.section, [one.edge], profile)
    return project


def reading(project: Project, handle: Handle) -> str:
    """What the handle's height is now, in words."""
    if handle.kind == "eave":
        height = project.section(handle.section).eave_height
        return f"Eave height {format_length(height, project.units)}"
    slopes: list[str] = []
    for rise in handle.rises:
        found = outline_edge(project, OutlineEdgeId(rise.section, rise.edge))
        if found is not None and rise.step < len(found[1].profile):
            words = format_slope(found[1].profile[rise.step].slope)
            if words not in slopes:
                slopes.append(words)
    return "Pitch " + " and ".join(slopes)


def _scaled(rise: _Rise, top: float, height: float) -> float:
    """The slope that lifts the place from `top` to `height`.

    The place lies `run` away from the line at which the plane starts, and that line stays where
    it is: top = foot + slope × run, so the new slope is (height - foot) / run.
    """
    return rise.slope * (height - rise.foot) / max(top - rise.foot, LEAST_RISE_MM)


def _rise(project: Project, section: str, edge: str, step: int) -> _Rise | None:
    found = outline_edge(project, OutlineEdgeId(section, edge))
    if found is None or not 0 <= step < len(found[1].profile):
        return None
    profile = found[1].profile[step]
    if profile.slope is None:
        return None
    foot = found[0].eave_height + profile.height
    return _Rise(section, edge, step, foot, profile.slope)


def _above(results: Results, item: Selectable) -> tuple[list[Plane], Place | None]:
    """The planes whose pitch a selected thing is about, and its own top if it has one."""
    surface = results.surface
    planes = {p.id: p for p in surface.planes}
    if isinstance(item, PlaneId):
        return [planes[item]] if item in planes else [], None
    if isinstance(item, OutlineEdgeId):
        on = [p for p in surface.planes if (p.id.section, p.id.edge) == tuple(item)]
        return sorted(on, key=lambda p: (p.id.step, -p.true_area))[:1], None
    if isinstance(item, EdgeId):
        edge = next((e for e in surface.edges if e.id == item), None)
        if edge is None:
            return [], None
        if isinstance(item.second, str):
            return _above(results, OutlineEdgeId(item.first.section, item.second))
        if edge.kind in _TWO_PLANES:
            top = edge.start if edge.start[2] > edge.end[2] + HEAL_MM else edge.end
            if abs(edge.start[2] - edge.end[2]) <= HEAL_MM:
                top = (edge.start + edge.end) / 2.0
            return [planes[p] for p in edge.planes if p in planes], _triple(top)
    return [], None


def _top(plane: Plane) -> Place:
    """The middle of the plane's highest side, or its highest corner."""
    ring = plane.outline
    high = float(ring[:, 2].max())
    after = np.roll(ring, -1, axis=0)
    level = (ring[:, 2] > high - HEAL_MM) & (after[:, 2] > high - HEAL_MM)
    if level.any():
        lengths = np.where(level, np.hypot(*(after - ring)[:, :2].T), -1.0)
        k = int(lengths.argmax())
        return _triple((ring[k] + after[k]) / 2.0)
    return _triple(ring[int(ring[:, 2].argmax())])


def _eave_handles(results: Results, part: str) -> list[Handle]:
    """Places along the section's eaves: the middles first, the longest eaves first."""
    if all(s.id != part for s in results.project.sections()):
        return []
    eaves = [
        e
        for e in results.surface.edges
        if e.planes[0].section == part
        and isinstance(e.id.second, str)
        and e.kind in (EdgeKind.EAVE, EdgeKind.HIGH_EAVE)
    ]
    eaves.sort(key=lambda e: (e.kind is not EdgeKind.EAVE, -e.length))
    return [
        Handle("eave", _triple(e.start + share * (e.end - e.start)), part, rank=rank)
        for rank, share in enumerate(_ALONG)
        for e in eaves
    ]


def _triple(point: np.ndarray) -> Place:
    return float(point[0]), float(point[1]), float(point[2])
