"""Which plane of a run is first, and blanks of random houses."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import Project, Section, Step
from roofmodel.results import results_of
from roofmodel.shop import alike, blanks_of
from roofmodel.shop.lines import Roof
from roofmodel.systems import EdgeKind
from roofmodel_io.parts_toml import built_in_parts
from tests.houses import RECTANGLE, box, section
from tests.shop.shops import SYSTEMS, Shop, shop
from tests.surface.random_houses import house, wild

UP = np.array([0.0, 0.0, 1.0])


def with_profile(plain: Section, *steps: tuple[float, float]) -> Section:
    """All edges of a section with this profile, heights in mm."""
    profile = tuple(Step(h, m) for h, m in steps)
    ring = plain.rings[0]
    edges = tuple(msgspec.structs.replace(e, profile=profile) for e in ring.edges)
    return msgspec.structs.replace(plain, rings=(msgspec.structs.replace(ring, edges=edges),))


def first_above(made: Shop, kind: EdgeKind) -> list[bool]:
    """For every run on edges of this kind: does its first plane lie above the second?"""
    roof = Roof(made.results.surface)
    out = []
    for run in made.results.take_off.trim:
        if run.kind is kind and run.plane is None:
            line = roof.line_of(run)
            assert line.first is not None
            assert line.second is not None
            first, second = (
                roof.planes[p].outline[:, 2].mean() for p in (line.first, line.second)
            )
            out.append(bool(first > second))
            # across leads from the first plane to the second, up out of the first plane
            assert line.across @ line.up == pytest.approx(0.0, abs=1e-12)
            assert np.cross(line.along, line.up) == pytest.approx(line.across, abs=1e-12)
            assert line.up @ UP > 0.0
    return out


@pytest.mark.parametrize(
    ("steps", "direction", "angle"),
    [
        # 24/12 below, 5/12 above: 63.4349 − 22.6199; and 3/12 below 8/12: 33.6901 − 14.0362
        (((0.0, 2.0), (1200.0, 5 / 12)), "down", 40.8151),
        (((0.0, 0.25), (300.0, 8 / 12)), "up", 19.6538),
    ],
)
def test_transitions_begin_on_the_upper_plane(
    steps: tuple[tuple[float, float], ...], direction: str, angle: float
) -> None:
    made = shop(with_profile(section(RECTANGLE, [0.5] * 4), *steps))
    above = first_above(made, EdgeKind.PITCH_TRANSITION)
    assert above == [True] * 4
    bends = [
        next(x for x in b.bends if x.angle < 180.0)
        for b in made.blanks
        if b.run.part == "transition trim"
    ]
    assert len(bends) >= 4
    assert {b.direction for b in bends} == {direction}
    assert [b.angle for b in bends] == pytest.approx([angle] * len(bends), abs=5e-5)
    assert all(b.between[0] == "leg 'under the upper panels'" for b in bends)


def test_deck_edges_begin_on_the_deck() -> None:
    deck = msgspec.structs.replace(section(RECTANGLE, [0.5] * 4), deck_height=1200.0)
    made = shop(deck)
    assert first_above(made, EdgeKind.DECK_EDGE) == [True] * 4
    bends = [b for b in made.blanks if b.run.part == "deck edge trim"]
    assert len(bends) >= 4
    for b in bends:
        bend = next(x for x in b.bends if x.angle < 180.0)
        assert bend.direction == "down"
        assert bend.angle == pytest.approx(26.5651, abs=5e-5)


def test_what_has_one_plane_has_it_on_the_left() -> None:
    made = shop(section(box(0, 0, 30, 20), (0.5, np.inf, 0.5, np.inf)))
    roof = Roof(made.results.surface)
    for run in made.results.take_off.trim:
        line = roof.line_of(run)
        assert line.first is not None
        middle = roof.planes[line.first].outline.mean(axis=0)
        if line.second is None:
            left = np.cross(UP, line.along)
            assert left @ (middle - line.start) > 0.0
        assert line.length == pytest.approx(run.length, abs=1e-9)


@pytest.mark.parametrize("make", [house, wild])
@pytest.mark.parametrize("seed", [1, 2, 7, 23, 35])
def test_blanks_of_random_houses(make: Callable[[int], Project], seed: int) -> None:
    project = make(seed)
    system = SYSTEMS["standing_seam" if seed % 2 else "ribbed_panel"]
    system = msgspec.structs.replace(system, id=project.system.id)
    project = msgspec.structs.replace(project, system=system, parts=built_in_parts())
    results = results_of(project, planner=None)
    made = blanks_of(project, results.surface, results.take_off.trim)
    assert not made.remarks
    assert make is wild or not made.left_out  # these have pitches that hardly change
    assert made.blanks
    for b in made.blanks:
        shape = shapely.Polygon(b.outline)
        assert shape.is_valid
        assert shape.exterior.is_ccw
        assert 0.0 < b.area <= b.girth * float(np.ptp(b.outline[:, 1])) + 1e-6
        assert np.ptp(b.outline[:, 1]) <= b.cut_length + 1.0
        around = shape.buffer(0.02)  # corners so close to another are left out
        assert all(around.contains(shapely.LineString([x.start, x.end])) for x in b.bends)
        assert b.remark == "" or not b.remark.endswith(".")
    assert sum(map(len, alike(made.blanks))) == len(made.blanks)
