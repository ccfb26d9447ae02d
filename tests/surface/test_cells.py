"""Cells between arcs against GEOS's polygonizer (through shapely), a general-purpose reference."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from roofmodel.surface.cells import cells_of
from roofmodel.surface.noding import noded
from roofmodel.surface.types import Array


def _sides(*polygons: shapely.Polygon) -> Array:
    rings = shapely.get_rings(np.array(polygons))
    coords, owner = shapely.get_coordinates(rings, return_index=True)
    on = owner[1:] == owner[:-1]
    return np.stack([coords[:-1][on], coords[1:][on]], axis=1)


def _check(segments: Array) -> np.ndarray[tuple[int], np.dtype[np.object_]]:
    points, arcs = noded(segments)
    cells, start, end, left, right = cells_of(points, arcs)
    lines = shapely.linestrings(points[arcs])
    reference = shapely.get_parts(shapely.polygonize(np.asarray(lines, dtype=object)))
    key = lambda p: (p.centroid.x, p.centroid.y, p.area)  # noqa: E731
    assert len(cells) == len(reference)
    for one, other in zip(sorted(cells, key=key), sorted(reference, key=key), strict=True):
        assert one.is_valid
        assert one.equals(other)
    # every arc has its cell on its left, and its way back the same two cells the other way
    sides = {(a, b): (p, q) for a, b, p, q in zip(start, end, left, right, strict=True)}
    assert len(sides) == len(start)
    for (a, b), (here, beyond) in sides.items():
        way = points[b] - points[a]
        beside = (points[a] + points[b]) / 2.0 + np.array([-way[1], way[0]]) * 1e-6
        assert cells[here].contains(shapely.Point(beside))
        if beyond >= 0:
            assert sides[b, a] == (beyond, here)
        else:
            assert (b, a) not in sides
    return cells


@pytest.mark.parametrize("seed", range(60))
def test_random_lines_and_boxes(seed: int) -> None:
    random = np.random.default_rng(seed)
    boxes = []
    for _ in range(random.integers(1, 9)):
        x, y = random.integers(0, 9, 2) * 1000.0
        wide, deep = random.integers(1, 6, 2) * 1000.0
        boxes.append(shapely.box(x, y, x + wide, y + deep))
    # and lines that end anywhere: they bound no cell where they end inside one
    loose = random.uniform(0.0, 12000.0, (int(random.integers(0, 6)), 2, 2))
    _check(np.concatenate([_sides(*boxes), loose]))


def test_a_hole_a_hole_in_it_and_one_beside() -> None:
    cells = _check(
        _sides(
            shapely.box(0, 0, 9000, 9000),
            shapely.box(1000, 1000, 8000, 5000),
            shapely.box(2000, 2000, 3000, 3000),
            shapely.box(1000, 6000, 2000, 7000),
        )
    )
    assert sorted(len(c.interiors) for c in cells) == [0, 0, 1, 2]


def test_holes_that_touch_the_rim_and_each_other_in_a_point() -> None:
    diamond = shapely.Polygon([(5000, 0), (7000, 2000), (5000, 4000), (3000, 2000)])
    above = shapely.Polygon([(5000, 4000), (6000, 5000), (5000, 6000), (4000, 5000)])
    cells = _check(_sides(shapely.box(0, -0, 9000, 9000), diamond, above))
    assert sum(c.area for c in cells) == pytest.approx(81e6, rel=1e-12)


def test_what_lies_apart_or_touches_in_a_corner() -> None:
    cells = _check(
        _sides(
            shapely.box(0, 0, 1000, 1000),
            shapely.box(1000, 1000, 2000, 2000),
            shapely.box(5000, 0, 6000, 1000),
        )
    )
    assert len(cells) == 3


def test_two_boxes_joined_by_a_line_and_a_loose_end() -> None:
    loose = np.array([[[1000.0, 500.0], [3000.0, 500.0]], [[200.0, 200.0], [400.0, 700.0]]])
    boxes = _sides(shapely.box(0, 0, 1000, 1000), shapely.box(3000, 0, 4000, 1000))
    assert len(_check(np.concatenate([boxes, loose]))) == 2
