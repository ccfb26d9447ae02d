"""Dormers and wings reach back by themselves to the roof they meet.

Vocabulary
----------
back
    The edge of a wing or dormer that lies inside another roof; it is moved along the wing.
seen
    The part of a wing, thought endless behind its back, that is not inside another body.

The back is put a little further in than the wing is seen, and before the place where an endless
wing would come out again on the other side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from functools import partial
from typing import Final

import msgspec
import numpy as np
import shapely

from roofmodel.document import Mend, Problem, Project, Section
from roofmodel.document.changes import in_part
from roofmodel.document.dormers import (
    Dormer,
    dormer_of,
    dormer_section,
    foot_of,
    new_dormer,
    set_dormer,
    stretched,
)
from roofmodel.document.part_edits import remove_part
from roofmodel.errors import DocumentError, OutlineError
from roofmodel.surface.bodies import Body, Facet, section_body
from roofmodel.surface.gather import gathered
from roofmodel.surface.naming import bearing_of
from roofmodel.surface.types import Array
from roofmodel.tolerance import NEAR_HEIGHT_MM

PAST_MM: Final = 304.8
"""How much further in than needed a back is put, where there is room: 1 ft."""

_CLOSE_MM: Final = 1e-4
"""Hidden pieces grow by this, so that no hairline between them counts as seen."""

_BESIDE_MM: Final = 100.0
_FAR_MM: Final = 1000.0
_PLACES: Final = 2


def bodies_but(project: Project, part: str = "") -> tuple[Body, ...]:
    """The bodies that a part may stand on or run into: all others, without saddles."""
    if part and any(part in b.part_ids() for b in project.buildings):
        project = remove_part(project, part)
    openings = {o.id for o in project.openings()}
    return tuple(b for b in gathered(project).bodies if b.part not in openings)


def facet_at(bodies: Sequence[Body], at: tuple[float, float]) -> tuple[Body, Facet] | None:
    """The topmost facet over a plan point (mm), with its body."""
    spot = shapely.Point(at)
    place = np.array([at], float)
    over = [
        (float(f.height(place)[0]), k, n)
        for k, b in enumerate(bodies)
        for n, f in enumerate(b.facets)
        if f.polygon.intersects(spot)
    ]
    if not over:
        return None
    _, k, n = max(over)
    return bodies[k], bodies[k].facets[n]


def on_roof(bodies: Sequence[Body], dormer: Dormer) -> tuple[Dormer, float]:
    """The dormer turned to look down the plane at its front, and the height of that plane there.

    DocumentError where there is no sloping plane.
    """
    found = facet_at(bodies, dormer.front)
    if found is None or math.hypot(*found[1].gradient) < 1e-6:
        raise DocumentError("A dormer stands on a sloping plane of the roof: point at one.")
    bearing = bearing_of(found[1].gradient)
    foot = float(found[1].height(np.array([dormer.front]))[0])
    return msgspec.structs.replace(dormer, bearing=bearing), foot


def drop_dormer(
    project: Project,
    dormer: Dormer,
    name: str | None = None,
    building: str | None = None,
    bodies: Sequence[Body] | None = None,
) -> tuple[Project, str]:
    """Put a dormer on the plane under its front and stretch it to the roof; returns the project
    and the section's id. `bodies` are those of the project, if they are known already."""
    others = bodies_but(project) if bodies is None else bodies
    dormer, foot = on_roof(others, dormer)
    if building is None:
        found = facet_at(others, dormer.front)
        building = found[0].building if found is not None else None
    project, section_id = new_dormer(project, dormer, foot, name, building or None)
    return reached(project, section_id, bodies=others), section_id


def put_dormer(
    project: Project, section_id: str, dormer: Dormer, bodies: Sequence[Body] | None = None
) -> Project:
    """Change a dormer (its place, width, pitch, face …) and put it on the roof again."""
    others = bodies_but(project, section_id) if bodies is None else bodies
    dormer, foot = on_roof(others, dormer)
    return reached(set_dormer(project, section_id, dormer, foot), section_id, bodies=others)


def seated(project: Project, section_id: str) -> Project:
    """Put a dormer or wing on the roof again, after the roof below it changed."""
    section = project.section(section_id)
    dormer = dormer_of(section)
    if dormer is not None:
        return put_dormer(project, section_id, dormer)
    if not section.back:
        raise DocumentError(
            f"{section.name} does not know its back: select the edge that lies towards the roof."
        )
    return reached(project, section_id)


def reached(
    project: Project,
    section_id: str,
    edge_id: str | None = None,
    bodies: Sequence[Body] | None = None,
) -> Project:
    """Move the back of a section (None: the edge known as its back) as far into the roof behind
    it as it has to go."""
    section = project.section(section_id)
    others = bodies_but(project, section_id) if bodies is None else bodies
    return in_part(project, section, lambda s: reach(s, edge_id or s.back, others))


def joined(project: Project, section_id: str) -> Project:
    """A section just drawn, with the one edge that lies all along or inside another body reaching
    into its roof; unchanged if there is no such edge or no more than one, or it cannot reach."""
    others = [b for b in bodies_but(project, section_id) if not b.open_below]
    ring = project.section(section_id).rings[0]
    inside = []
    for edge, a, b in zip(
        ring.edges, ring.corners, (*ring.corners[1:], ring.corners[0]), strict=True
    ):
        size = math.dist(a, b)
        # a little further out, so that one drawn just to the wall counts
        out = (b[1] - a[1]) / size * _BESIDE_MM, (a[0] - b[0]) / size * _BESIDE_MM
        spots = [
            (a[0] + t * (b[0] - a[0]) + out[0], a[1] + t * (b[1] - a[1]) + out[1])
            for t in (0.1, 0.5, 0.9)
        ]
        if all(any(shapely.contains_xy(o.wall, *spot) for o in others) for spot in spots):
            inside.append(edge.id)
    if len(inside) != 1:
        return project
    with suppress(DocumentError):
        return reached(project, section_id, inside[0], bodies=others)
    return project


def reach(section: Section, edge_id: str, bodies: Sequence[Body]) -> Section:
    """The section with its back where no more of it is seen behind; see the module's words.

    DocumentError where there is no roof behind that edge, or it is too low to hide the wing.
    """
    out, at = _outwards(section, edge_id)
    solid = [b for b in bodies if not b.open_below]
    far = max(
        (float((np.array(b.drip.exterior.coords)[:, :2] @ out).max()) for b in solid),
        default=at,
    )
    if far <= at - _depth(section, out):
        raise DocumentError(f"There is no roof behind that edge of {section.name}.")
    end = far + _FAR_MM
    try:
        body = section_body(stretched(section, edge_id, end - at))
    except OutlineError as error:
        raise DocumentError(f"{section.name} cannot reach back: {error}") from error
    seen = _seen(body, solid)
    if not any(b.wall.intersection(body.drip).area > 1.0 for b in solid):
        raise DocumentError(f"There is no roof behind that edge of {section.name}.")
    last, following = _ends(seen, out, end)
    if last >= end - _FAR_MM / 2:
        raise DocumentError(
            f"{section.name} stands out above the roof behind it and would come out on the other"
            " side. Make it lower, narrower or flatter, or move it down the slope."
        )
    back = last + min(PAST_MM, max(following - last, 0.0) / 2.0)
    # tidy numbers, never less than needed
    back = math.ceil(back * 10**_PLACES) / 10**_PLACES if following - back > 1.0 else back
    return stretched(section, edge_id, back - at)


def ghost_of(bodies: Sequence[Body], dormer: Dormer) -> tuple[tuple[float, float], ...]:
    """What would be seen in plan of a dormer that is not placed yet: a ring of (n, 2) corners,
    mm. DocumentError where it cannot stand."""
    dormer, foot = on_roof(bodies, dormer)
    section = dormer_section(dormer, foot)
    body = section_body(reach(section, section.back, bodies))
    seen = _seen(body, [b for b in bodies if not b.open_below])
    polygons = [p for p in shapely.get_parts(seen) if p.geom_type == "Polygon"]
    largest = max(polygons, key=lambda p: p.area)
    return tuple((float(x), float(y)) for x, y in largest.simplify(1.0).exterior.coords[:-1])


def stands_off(section: Section, bodies: Sequence[Body]) -> bool:
    """Whether a dormer no longer stands on the roof that it was put on."""
    dormer = dormer_of(section)
    if dormer is None:
        return False
    try:
        _, foot = on_roof([b for b in bodies if b.part != section.id], dormer)
    except DocumentError:
        return True
    return abs(foot - foot_of(section)) > NEAR_HEIGHT_MM


def standing_doubts(project: Project, bodies: Sequence[Body]) -> list[Problem]:
    """A problem for each dormer that the roof below it has left, with the mend that puts it on
    again. `bodies` are those of the project."""
    found = []
    for section in project.sections():
        if section.face is None or not stands_off(section, bodies):
            continue
        dormer = dormer_of(section)
        places = () if dormer is None else (dormer.front,)
        mend = Mend("Put dormer on roof", partial(seated, section_id=section.id))
        sentence = "The roof below it has changed; put it on the roof again."
        found.append(Problem(f"{section.name}: {sentence}", False, section.id, places, mend))
    return found


def _outwards(section: Section, edge_id: str) -> tuple[Array, float]:
    """The unit vector (2,) out of the section at an edge, and how far along it the edge lies."""
    for number, ring in enumerate(section.rings):
        for k, edge in enumerate(ring.edges):
            if edge.id != edge_id:
                continue
            if number:
                raise DocumentError("The back of a wing is an edge of its outer outline.")
            a, b = np.array(ring.corners[k]), np.array(ring.corners[(k + 1) % len(ring.corners)])
            way = (b - a) / float(np.hypot(*(b - a)))
            out = np.array([way[1], -way[0]])
            return out, float(out @ (a + b)) / 2.0
    raise DocumentError(f"{section.name} has no edge {edge_id}.")


def _depth(section: Section, out: Array) -> float:
    along = np.array(section.rings[0].corners) @ out
    return float(np.ptp(along))


def _seen(body: Body, others: Sequence[Body]) -> shapely.Geometry:
    """What of a body is not inside others."""
    hidden: list[shapely.Geometry] = []
    for own in body.facets:
        for other in others:
            if not other.wall.intersects(own.polygon):
                continue
            for facet in other.facets:
                common = own.polygon.intersection(facet.polygon).intersection(other.wall)
                if common.area > 1.0:
                    hidden.append(_below(own, facet, common))
    inside = shapely.union_all(hidden)
    if inside.is_empty:
        return body.drip
    return body.drip.difference(inside.buffer(_CLOSE_MM, join_style="mitre"))


def _below(own: Facet, other: Facet, common: shapely.Geometry) -> shapely.Geometry:
    """The part of a common polygon where `own` lies no higher than `other`."""
    x0, y0, x1, y1 = (float(v) for v in shapely.bounds(common))
    middle = np.array([[(x0 + x1) / 2.0, (y0 + y1) / 2.0]])
    gap = float(other.height(middle)[0] - own.height(middle)[0])
    gx, gy = (b - a for a, b in zip(own.gradient, other.gradient, strict=True))
    size = math.hypot(gx, gy)
    radius = math.hypot(x1 - x0, y1 - y0) + 1.0
    if abs(gap) >= size * radius:
        return common if gap >= -1e-6 else shapely.Polygon()
    # the half plane beyond the line where both are level with each other
    dx, dy = gx / size, gy / size
    foot = middle[0] - np.array([dx, dy]) * (gap / size)
    side = np.array([-dy, dx]) * 2.0 * radius
    up = np.array([dx, dy]) * 4.0 * radius
    half = shapely.Polygon([foot - side, foot + side, foot + side + up, foot - side + up])
    return shapely.intersection(common, half)


def _ends(seen: shapely.Geometry, out: Array, end: float) -> tuple[float, float]:
    """How far the part that hangs together with the front is seen along `out`, and where the
    next part begins."""
    spans = []
    for part in shapely.get_parts(seen):
        if part.geom_type == "Polygon" and part.area > 1.0:
            along = np.array(part.exterior.coords)[:, :2] @ out
            spans.append((float(along.min()), float(along.max())))
    if not spans:
        raise DocumentError("Nothing of it would be seen: it lies inside the roof.")
    spans.sort()
    last = spans[0][1]
    for start, stop in spans[1:]:
        if start < last - 1.0:
            last = max(last, stop)
    return last, min((start for start, _ in spans if start >= last - 1.0), default=end)
