"""What goes by the walls below the roof: the ice barrier at each eave, the attic, zones along
edges. Feet where not said otherwise."""

from __future__ import annotations

import math
from typing import Literal

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import DrawnPlane, Opening, Project, Section, work_edits
from roofmodel.results import Results, results_of
from roofmodel.takeoff.field import Frame
from roofmodel_io.defaults import built_in_systems
from tests.houses import (
    FT,
    GABLE,
    L_SHAPE,
    RECTANGLE,
    box,
    by_slope,
    drawn_plane,
    opening,
    section,
)
from tests.houses import project as house
from tests.takeoff.printed_formula import check

RIBBED = built_in_systems()[0]
SF6 = math.sqrt(1.25)


def barrier(*parts: Section | DrawnPlane | Opening, face: str = "outside") -> Results:
    some = house(*parts, system=RIBBED)
    return results_of(work_edits.set_ice_barrier(some, on=True, face=face), planner=None)


def reaches(results: Results) -> dict[str, float]:
    """How far the barrier reaches up the slope, by eaves."""
    out = {}
    for q in results.take_off.quantities:
        check(q, results.project.units)
        if q.item.startswith("Ice barrier up the slope from "):
            out[q.item.removeprefix("Ice barrier up the slope from ")] = q.quantity / FT
    return out


def amount(results: Results, item: str) -> float:
    (line,) = (q for q in results.take_off.quantities if q.item == item)
    return line.quantity


@pytest.mark.parametrize("line", ["drip", "wall"])
def test_each_eave_goes_by_its_own_overhang(line: Literal["drip", "wall"]) -> None:
    # overhangs of 1 in the south, 2 1/2 in the north; drawn as drip line or as wall line
    overhangs = (1, 0.5, 2.5, 0.5)
    corners = RECTANGLE if line == "drip" else box(0.5, 1, 39.5, 21.5)
    some = section(corners, (0.5, GABLE, 0.5, GABLE), overhangs_ft=overhangs, line=line, eave_ft=9)
    found = reaches(barrier(some))
    assert found == {
        "Eave 1": pytest.approx(3 * SF6, rel=1e-9),
        "Eave 2": pytest.approx(4.5 * SF6, rel=1e-9),
    }
    # 40.2 in take two courses of 36 in (33 more), 60.4 as well: 40 long
    assert amount(barrier(some), "Membrane at the eaves, ice barrier") == pytest.approx(160 * FT)
    # the walls stand 39 by 20.5 apart
    needed = amount(barrier(some), "Net free area of vents needed")
    assert needed / FT**2 == pytest.approx(39 * 20.5 / 150)


def test_the_inside_face_lies_a_wall_further() -> None:
    some = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), overhang_ft=1.5)
    found = reaches(barrier(some, face="inside"))
    assert found == {"Eave 1, Eave 2": pytest.approx(4 * SF6)}


def test_a_drawn_plane_goes_by_its_overhang() -> None:
    # 20 by 10, rising at 4/12 to the north, walls 9 in inside its corners
    plane = drawn_plane(box(0, 0, 20, 10), by_slope(0, 0, 9, 1 / 3, 180))
    plane = msgspec.structs.replace(plane, overhang=0.75 * FT)
    found = barrier(plane)
    assert reaches(found) == {"Eave 1": pytest.approx(2.75 * math.sqrt(1 + 1 / 9))}
    needed = amount(found, "Net free area of vents needed")
    assert needed / FT**2 == pytest.approx(18.5 * 8.5 / 150)


def test_overhangs_too_wide_for_walls_count_as_none() -> None:
    narrow = section(box(0, 0, 40, 3), (0.5, GABLE, 0.5, GABLE), overhang_ft=2)
    assert reaches(barrier(narrow)) == {"Eave 1, Eave 2": pytest.approx(2 * SF6)}


def test_a_saddle_takes_membrane_all_over() -> None:
    # chimney 3 wide: its saddle's planes run 3 along the back; each lies within one course
    some = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9)
    results = results_of(
        house(some, opening(box(18, 3, 21, 6), saddle=True), system=RIBBED), planner=None
    )
    lines = {q.item: q for q in results.take_off.quantities}
    line = lines["Membrane all over saddles"]
    check(line, results.project.units)
    assert len(line.planes) == 2
    planes = [results.surface.plane(p) for p in line.planes]
    widths = []
    for plane in planes:
        flat = Frame.of(plane).flat(plane.outline)
        assert np.ptp(flat[:, 1]) < 36 * 25.4
        widths.append(float(np.ptp(flat[:, 0])))
    assert line.quantity == pytest.approx(sum(widths))
    # the planes between them take underlayment, the saddle does not
    assert {q.item for q in lines.values() if q.item.startswith("Courses on")} == {
        "Courses on South 1",
        "Courses on North 1",
    }


def zones(some: Project) -> Results:
    return results_of(some, planner=None)


HOUSES = {
    "hip": section(RECTANGLE, (0.5, 0.5, 0.75, 0.5), eave_ft=9, overhang_ft=1),
    "gable": section(RECTANGLE, (0.75, GABLE, 0.5, GABLE), eave_ft=9),
    "L": section(L_SHAPE, (0.5,) * 6, eave_ft=9),
}


@pytest.mark.parametrize("name", HOUSES)
def test_zones_are_where_outer_edges_are_near(name: str) -> None:
    """Against another method: points of a grid, and how far in plan they lie from the edges."""
    kinds = {"eave", "high eave", "rake", "ridge", "hip"}
    results = zones(house(HOUSES[name], opening(box(30, 2, 33, 5)), system=RIBBED))
    width = amount(results, "Width of edge zones")
    edges = {e.id: e for e in results.surface.edges}
    seen = 0
    assert len(results.take_off.zones) == len(results.surface.planes)
    for zone in results.take_off.zones:
        plane = results.surface.plane(zone.plane)
        frame = Frame.of(plane)
        shape = shapely.Polygon(plane.outline[:, :2], [h[:, :2] for h in plane.holes])
        x0, y0, x1, y1 = shape.bounds
        grid = np.random.default_rng(1).uniform((x0, y0), (x1, y1), (400, 2))
        grid = grid[shapely.contains_xy(shape, grid)]
        flat = frame.flat(np.column_stack([grid, np.zeros(len(grid))]))
        lines = [
            shapely.LineString([edges[e].start[:2], edges[e].end[:2]])
            for e in plane.edges
            if edges[e].kind.value in kinds
        ]
        # corners of strips are square, and a circle around an edge's end reaches less far
        least = np.min([shapely.distance(line, shapely.points(grid)) for line in lines], axis=0)
        inside = shapely.union_all([zone.edge, zone.corner])
        found = shapely.contains_xy(inside, flat)
        assert not found[least > width + 1e-6].any()
        # every point beside an edge, not past its end, lies in a zone
        for line in lines:
            ends = np.array(line.coords)
            along = (grid - ends[0]) @ (ends[1] - ends[0]) / line.length
            beside = (along > 0) & (along < line.length)
            near = shapely.distance(line, shapely.points(grid)) < width - 1e-6
            assert found[beside & near].all()
            seen += int((beside & near).sum())
        assert shapely.intersection(zone.edge, zone.corner).area == pytest.approx(0, abs=1e-3)
    assert seen > 100


def test_zones_never_wider_than_the_plane() -> None:
    # a shed 4 deep: strips of 3 along both eaves cover it all
    shed = section(box(0, 0, 20, 4), (0.25, GABLE, GABLE, GABLE), eave_ft=9)
    results = zones(house(shed, system=RIBBED))
    whole = 80 * math.sqrt(1 + 1 / 16) * FT**2
    both = amount(results, "Edge zones") + amount(results, "Corner zones")
    assert both == pytest.approx(whole)
