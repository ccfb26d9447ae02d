"""Ends that go past a corner, folded back onto the roof: every tab lies in the face it is for, and
nothing passes that face or the roof. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from roofmodel.shop import Blank
from roofmodel.surface import Plane, RoofEdge
from roofmodel.systems import EdgeKind
from tests.houses import GABLE, L_SHAPE, box, section
from tests.shop.assembly import on_roof
from tests.shop.shops import MAIN, SYSTEMS, WING, Shop, sample, shop

Array = NDArray[np.float64]

TURNED = "turned around the corner"
RUNS_ON = "runs on along the wall"
Z = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Corner:
    """An end on its roof: the corner, the way out along the run and along the next edge."""

    blank: Blank
    at_end: bool
    place: Array
    out: Array
    edge: RoofEdge
    plane: Plane


def corners_of(made: Shop) -> list[Corner]:
    """Every end that goes past a corner of the roof or a wall."""
    out = []
    surface = made.results.surface
    for blank in made.blanks:
        edges = [surface.edge(e) for e in blank.run.edges]
        if edges[0].kind not in (EdgeKind.RAKE, EdgeKind.HIGH_EAVE, EdgeKind.HEADWALL):
            continue
        start, end, plane = walked(edges, made)
        way = (end - start) / np.linalg.norm(end - start)
        if blank.start.kind in (TURNED, RUNS_ON):
            out.append(Corner(blank, False, start, -way, edges[0], plane))
        if blank.end.kind in (TURNED, RUNS_ON):
            out.append(Corner(blank, True, end, way, edges[0], plane))
    return out


def walked(edges: list[RoofEdge], made: Shop) -> tuple[Array, Array, Plane]:
    """The ends of a run with its plane on the left, and that plane."""
    way = edges[0].end - edges[0].start
    points = sorted((p for e in edges for p in (e.start, e.end)), key=lambda p: float(p @ way))
    start, end = points[0], points[-1]
    plane = made.results.surface.plane(edges[0].planes[0])
    flat = shapely.Polygon(plane.outline[:, :2], [h[:, :2] for h in plane.holes])
    left = np.array([-way[1], way[0]]) / np.hypot(way[0], way[1])
    middle = (edges[0].start + edges[0].end)[:2] / 2.0
    if not flat.buffer(1e-3).contains(shapely.Point(middle + 10.0 * left)):
        start, end = end, start
    return start, end, plane


def normal_of(plane: Plane) -> Array:
    """The upward unit normal, from cross products around the outline."""
    n = np.cross(plane.outline, np.roll(plane.outline, -1, axis=0)).sum(axis=0)
    out: Array = n / np.linalg.norm(n) * np.sign(n[2])
    return out


HOUSES = [
    section(box(0, 0, 12, 8), (0.25, GABLE, GABLE, GABLE)),
    section(box(0, 0, 12, 8), (0.5, GABLE, 0.5, GABLE)),
    section(box(0, 0, 24, 12), (2.0, GABLE, 2.0, GABLE)),
    section(box(0, 0, 12, 8), (0.7, GABLE, GABLE, GABLE)),
    section(box(0, 0, 12, 8), (1 / 12, GABLE, GABLE, GABLE)),
]


TALL = section(L_SHAPE, [0.5] * 6, eave_ft=10)
LEAN_TO = section(box(16, 24, 40, 40), (GABLE, GABLE, 0.25, GABLE), section_id="s2")


@pytest.mark.parametrize("system", SYSTEMS)
def test_folded_back_every_tab_lies_where_it_should(system: str) -> None:
    seen = {"down": 0, "up": 0, "none": 0}
    made = [shop(house, system=SYSTEMS[system]) for house in HOUSES]
    made.append(shop(MAIN, WING, system=SYSTEMS[system]))
    made.append(shop(TALL, LEAN_TO, system=SYSTEMS[system]))
    made += [sample(name, system) for name in ("elder_brook_dormers", "fern_hill_manor")]
    for one in made:
        for corner in corners_of(one):
            seen[check(corner, one)] += 1
    assert seen["down"] > 30
    assert seen["up"] == 1
    assert seen["none"] > 2


def check(corner: Corner, made: Shop) -> str:
    """Folds one end back: what is turned lies in the next face, below or above the roof as it
    should; nothing else of its second side goes past that face."""
    blank, place = corner.blank, corner.place
    edges = [made.results.surface.edge(e) for e in blank.run.edges]
    start, end, plane = walked(edges, made)
    normal = normal_of(plane)
    normal = normal - (normal @ corner.out) * corner.out
    normal /= np.linalg.norm(normal)
    level = corner.out * (1.0, 1.0, 0.0)
    level /= np.linalg.norm(level)
    leg = next(leg.name for leg in blank.profile.legs if leg.on == "second plane")
    far = float(np.linalg.norm(end - start))
    tabs = [
        b for b in blank.bends
        if b.start[0] != b.end[0] and b.between[0] == leg
        and (abs(b.start[1] + blank.begins - far) < far / 2.0) == corner.at_end
    ]  # fmt: skip

    def put(points: Array) -> Array:
        return on_roof(blank, points, start, end, normal) - place

    if corner.blank.run.kind is not EdgeKind.HEADWALL:
        first = put(near(corner, before_of(blank)))
        # on the first plane nothing goes past the panels
        system = next(s for s in made.project.systems() if s.id == blank.run.system)
        most = max(system.shifts[EdgeKind.EAVE], system.shifts[EdgeKind.HIGH_EAVE])
        assert float((first @ corner.out).max()) < most + 1e-6
    if not tabs:
        assert (blank.end if corner.at_end else blank.start).kind == RUNS_ON
        return "none"
    (tab,) = tabs
    (x0, y0), (x1, y1) = sorted([tab.start, tab.end])
    axis = put(np.array([(x0, y0), (x1, y1)]))
    assert np.abs(np.cross(axis[1] - axis[0], Z)).max() < 1e-6  # the bend line stands upright
    assert np.abs(axis @ level).max() < 1e-6  # at the corner
    flat = shapely.Polygon(blank.outline)
    foot, border = leg_of(blank, leg)
    turned = shapely.intersection(flat, beyond(tab.start, tab.end, foot, border, corner.at_end))
    assert turned.area > 50.0
    points = put(shapely.get_coordinates(turned))
    # 90° from the colour side or to it: the way out becomes the way back from it, or towards it
    past = points @ level
    assert past.min() > -1e-6
    section = put(np.array([(foot, y0), (border, y0)]))
    down = section[1] - section[0]
    outward = np.cross(down, corner.out if corner.at_end else -corner.out)
    outward /= np.linalg.norm(outward)  # the colour side's normal
    assert abs(float(outward[2])) < 1e-6
    side = 1.0 if tab.direction == "up" else -1.0
    folded = points - np.outer(past, level) + side * np.outer(past, outward)
    assert np.abs(folded @ level).max() < 1e-6  # in the next face
    # there the roof is the plane of the first side, where that goes on beside the wall
    over = (folded @ normal_of(plane)) / normal_of(plane)[2]
    if corner.edge.kind is EdgeKind.HEADWALL:
        beside = place - 30.0 * side * level + 30.0 * side * outward
        if shapely.Polygon(plane.outline[:, :2]).covers(shapely.Point(beside[:2])):
            assert float(over.min()) > -1e-6
    else:
        assert float(over.max()) < 1e-6
    # the rest of the second side stays this side of the corner
    x = shapely.get_coordinates(flat)
    if corner.blank.run.kind is EdgeKind.RAKE:  # the whole leg is turned, cut plumb
        assert (x0, x1) == pytest.approx((foot, border), abs=1e-6)
        assert "short of the upright corner" not in blank.remark
    rest = x[x[:, 0] >= foot - 1e-6]
    rest = rest[[not turned.buffer(1e-6).covers(shapely.Point(p)) for p in rest]]
    assert float((put(rest) @ level).max()) < 0.5
    return str(tab.direction)


def near(corner: Corner, most: float) -> Array:
    """The corners of a blank up to so far across it, on the half beside its end."""
    half = float(corner.blank.outline[:, 1].max()) / 2.0
    points = corner.blank.outline
    beside = (points[:, 1] > half) if corner.at_end else (points[:, 1] < half)
    out: Array = points[beside & (points[:, 0] <= most + 1e-6)]
    return out


def before_of(blank: Blank) -> float:
    """Where its legs on the first plane end, mm across it, within their last bend."""
    second = next(leg.name for leg in blank.profile.legs if leg.on == "second plane")
    rows = [b for b in blank.bends if b.between[1] == f"leg '{second}'" and b.start[0] == b.end[0]]
    return rows[0].start[0]


def leg_of(blank: Blank, leg: str) -> tuple[float, float]:
    """Where the flat of a leg begins and ends on the blank, mm."""
    metal = blank.profile.metal

    def half(angle: float) -> float:
        return math.radians(angle) * (metal.inside_radius + metal.k_factor * metal.thickness) / 2.0

    along = [b for b in blank.bends if b.start[0] == b.end[0]]
    name = f"leg '{leg}'"
    (start,) = [b.start[0] + half(b.angle) for b in along if b.between[1] == name]
    ends = [b.start[0] - half(b.angle) for b in along if b.between[0] == name]
    return start, ends[0] if ends else blank.girth


def beyond(
    one: tuple[float, float], two: tuple[float, float], foot: float, border: float, at_end: bool
) -> shapely.Polygon:
    """What lies on a leg past the line through two points."""
    (x0, y0), (x1, y1) = one, two
    slope = (y1 - y0) / (x1 - x0)
    rows = [(x, y0 + slope * (x - x0)) for x in (foot, border)]
    far = 1e5 if at_end else -1e5
    return shapely.Polygon([*rows, (border, far), (foot, far)])
