"""Panels and trim around chimneys, skylights and pipes. Feet where not said otherwise.

The plane is 20 wide and 16 deep in plan at 9/12 (slope factor 5/4): 20 by 20 along the slope. The
opening is 4 by 4 in plan, 4 by 5 along the slope: from 8 to 12 across, from 5 to 10 up.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import msgspec
import numpy as np
import pytest
import shapely

from roofmodel.document import Building, Opening, Project
from roofmodel.surface import Plane, RoofEdge, Surface
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import RoofingSystem
from roofmodel.takeoff import Panel, TakeOff, take_off
from roofmodel.takeoff.panels import Case, laying_of
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, plain_system
from tests.takeoff.boards import box, edge, hole, south_plane

IN = 25.4
AROUND = (K.SIDE, K.UPHILL_SIDE, K.SIDE, K.DOWNHILL_SIDE)
CORNERS = ((8 * FT, 4 * FT), (12 * FT, 4 * FT), (12 * FT, 8 * FT), (8 * FT, 8 * FT))


def board(
    opening: str = "chimney", system: RoofingSystem | None = None, cut: bool = True
) -> TakeOff:
    holes = [("opening o1", hole(8, 4, 12, 8), AROUND)] if cut else []
    plane, edges = south_plane(
        box(0, 0, 20, 16), (K.EAVE, K.RAKE, K.HIGH_EAVE, K.RAKE), 0.75, holes
    )
    part = Opening("o1", "Chimney", opening, CORNERS)  # type: ignore[arg-type]
    project = Project(
        system or plain_system(), buildings=(Building("b1", "House", openings=(part,)),)
    )
    return take_off(Surface((plane,), tuple(edges), ()), project)


def panels_of(plane: Plane, edges: Sequence[RoofEdge], system: RoofingSystem) -> tuple[Panel, ...]:
    return laying_of(Case(plane, edges, system)).panels


def lengths(panels: tuple[Panel, ...]) -> list[float]:
    return [round(p.length / FT, 9) for p in panels]


def test_strips_that_fall_apart_are_several_panels() -> None:
    # strips of 3: 6 to 9 keeps its left two feet whole; 9 to 12 falls apart into 0 to 5 and
    # 10 to 20; 12 to 15 begins beside the opening
    taken = board()
    assert lengths(taken.panels) == [20, 20, 20, 5, 10, 20, 20, 20]
    assert [p.number for p in taken.panels] == list(range(1, 9))
    net = [round(p.net_area / FT**2, 6) for p in taken.panels]
    assert net == [60, 60, 60 - 5, 15, 30, 60, 60, 40]
    assert sum(net) == pytest.approx(20 * 20 - 4 * 5)
    gross = sum(p.gross_area for p in taken.panels) / FT**2
    assert gross == pytest.approx(3 * (6 * 20 + 5 + 10))


def test_a_lap_leg_beside_the_opening_joins_nothing() -> None:
    # 3 in of lap leg: the sheet of the strip 9 to 12 reaches 12.25 and so past the opening, but
    # no one orders 20 ft to keep that strip: its two pieces are two panels
    system = msgspec.structs.replace(plain_system(), lap_leg=3 * IN)
    taken = board(system=system)
    assert lengths(taken.panels) == [20, 20, 20, 5, 10, 20, 20, 20]
    net = [p.net_area / FT**2 for p in taken.panels[3:5]]
    assert net == pytest.approx([15, 30])


def test_sides_of_an_opening_have_shifts() -> None:
    # 3 in back above, 1 in back below: the strip 9 to 12 leaves 5 ft − 1 in and 10 ft − 3 in;
    # the field loses 4 ft × 3 in, 4 ft × 1 in and nothing beside the opening
    shifts = {K.UPHILL_SIDE: -3 * IN, K.DOWNHILL_SIDE: -1 * IN}
    taken = board(system=msgspec.structs.replace(plain_system(), shifts=shifts))
    expected = [20, 20, 20, 5 - 1 / 12, 10 - 3 / 12, 20, 20, 20]
    assert [p.length / FT for p in taken.panels] == pytest.approx(expected, rel=1e-9)
    net = sum(p.net_area for p in taken.panels) / FT**2
    assert net == pytest.approx(380 - 4 * 4 / 12, rel=1e-9)


def test_set_backs_meet_at_the_opening_s_corners() -> None:
    # 3 in above, 2 in at the sides, 1 in below: the field loses all around a box of 4 ft 4 in
    # by 5 ft 4 in, its corners square
    shifts = {K.UPHILL_SIDE: -3 * IN, K.DOWNHILL_SIDE: -1 * IN, K.SIDE: -2 * IN}
    taken = board(system=msgspec.structs.replace(plain_system(), shifts=shifts))
    net = sum(p.net_area for p in taken.panels) / FT**2
    assert net == pytest.approx(400 - (4 + 4 / 12) * (5 + 4 / 12), rel=1e-9)


def test_panels_may_lap_into_an_opening() -> None:
    # 2 in into it from all sides leaves a hole of 3 ft 8 in by 4 ft 8 in; 3 ft fill it
    for inward, left in ((2 / 12, (4 - 4 / 12) * (5 - 4 / 12)), (3.0, 0.0)):
        shifts = dict.fromkeys((K.UPHILL_SIDE, K.DOWNHILL_SIDE, K.SIDE), inward * FT)
        taken = board(system=msgspec.structs.replace(plain_system(), shifts=shifts))
        net = sum(p.net_area for p in taken.panels) / FT**2
        assert net == pytest.approx(400 - left, rel=1e-9)


def test_an_opening_inside_one_panel_is_a_hole_in_it() -> None:
    # one strip of 20 ft: the opening lies in its middle
    taken = board(system=plain_system(240.0))
    (panel,) = taken.panels
    assert len(panel.outline) == 4
    (ring,) = panel.holes
    expected = {(x, y, 0.75 * y) for x in (8.0, 12.0) for y in (4.0, 8.0)}
    assert {tuple(float(v) for v in np.round(p / FT, 6)) for p in ring} == expected


def test_chimney_flashings_and_none_at_a_pipe() -> None:
    # stock 10.5 ft: one piece along each side of the opening
    for kind in ("chimney", "skylight"):
        parts = {t.part: t.length / FT for t in board(kind).trim}
        assert parts["uphill side trim"] == parts["downhill side trim"] == pytest.approx(4)
        assert parts["side trim"] == pytest.approx(5)
        assert sum(t.pieces for t in board(kind).trim if "side" in t.part) == 4
    pipe = board("pipe")
    assert {t.part for t in pipe.trim} == {"eave trim", "high eave trim", "rake trim"}
    # its sides are edges all the same
    assert [q.quantity / FT for q in pipe.quantities if q.item == "Side, all"] == [
        pytest.approx(10)
    ]


def test_panels_run_up_to_a_pipe() -> None:
    shifts = dict.fromkeys((K.UPHILL_SIDE, K.DOWNHILL_SIDE, K.SIDE), -3 * IN)
    taken = board("pipe", msgspec.structs.replace(plain_system(), shifts=shifts))
    assert sum(p.net_area for p in taken.panels) / FT**2 == pytest.approx(380, rel=1e-9)


def test_a_system_that_knows_no_openings_has_no_trim_there() -> None:
    old = plain_system()
    sides = (K.UPHILL_SIDE, K.DOWNHILL_SIDE, K.SIDE)
    old = msgspec.structs.replace(
        old, trim={k: rule for k, rule in old.trim.items() if k not in sides}
    )
    taken = board(system=old)
    assert not [t for t in taken.trim if t.kind in sides]
    assert lengths(taken.panels) == [20, 20, 20, 5, 10, 20, 20, 20]


def test_an_edge_over_the_plane_is_no_side_of_it() -> None:
    # a dormer's overhang names this plane as its second one but lies a foot above it; another
    # runs across the middle of it; neither moves anything
    plane, edges = south_plane(box(0, 0, 20, 16), (K.EAVE, K.RAKE, K.HIGH_EAVE, K.RAKE), 0.75)
    above = edge(plane.id, K.EAVE, (0, 0, 1), (20, 0, 1), 8)
    across = edge(plane.id, K.VALLEY, (0, 8, 6), (20, 8, 6), 9)
    system = msgspec.structs.replace(
        plain_system(), shifts={K.VALLEY: -7 * IN, K.HIGH_EAVE: 2 * IN}
    )
    panels = panels_of(plane, [*edges, above, across], system)
    assert [p.length / IN for p in panels] == pytest.approx([242] * 7, rel=1e-9)
    with_eave = msgspec.structs.replace(system, shifts={K.EAVE: 12 * IN})
    only_above = panels_of(plane, [*edges[1:], above, across], with_eave)
    assert [p.length / IN for p in only_above] == pytest.approx([240] * 7, rel=1e-9)


def test_sides_split_where_edges_change_and_corners_that_bend_nothing() -> None:
    # the eave is half eave (1 ft past), half without an edge; the top one edge over two sides
    plane, edges = south_plane(
        ((0, 0), (20, 0), (20, 16), (12, 16), (0, 16)),
        (K.EAVE, K.RAKE, K.HIGH_EAVE, K.HIGH_EAVE, K.RAKE),
        0.75,
    )
    half = edge(plane.id, K.EAVE, (0, 0, 0), (12, 0, 0), 1)
    top = edge(plane.id, K.HIGH_EAVE, (20, 16, 12), (0, 16, 12), 3)
    system = msgspec.structs.replace(plain_system(), shifts={K.EAVE: 1 * FT, K.HIGH_EAVE: -2 * FT})
    panels = panels_of(plane, [half, edges[1], top, edges[4]], system)
    assert lengths(panels) == [19, 19, 19, 19, 18, 18, 18]


def odd_ring(rnd: random.Random) -> list[tuple[float, float]]:
    """A ring in feet such as no roof should have, but some composition may."""
    size, n = 10 ** rnd.uniform(-5, 2), rnd.randint(3, 9)
    thin = 10 ** rnd.uniform(-9, -2)
    return rnd.choice(
        [
            [(rnd.uniform(0, size), rnd.uniform(0, size)) for _ in range(n)],
            [(3.0 * rnd.randint(0, 4), 3.0 * rnd.randint(0, 4)) for _ in range(n)],
            [(0, 0), (size, 0), (size, thin), (0, thin / 2)],  # a sliver
            [(0, 0), (size, 0), (size, size), (size / 2, 0), (0, size)],  # pinched
            [(0, 0), (size, 0), (size, 0), (size, size), (0, size)],  # a corner twice
            [(size * k, 0.0) for k in range(n)],  # no area
        ]
    )


@pytest.mark.parametrize("start", range(0, 400, 100))
def test_odd_planes_never_raise(start: int) -> None:
    kinds = list(K)
    for seed in range(start, start + 100):
        rnd = random.Random(seed)
        ring = odd_ring(rnd)
        holes = [odd_ring(rnd)[::-1] for _ in range(rnd.randint(0, 2))]
        plane, edges = south_plane(
            ring,
            [rnd.choice(kinds) for _ in ring],
            rnd.choice([0.001, 0.1, 0.5, 2.0, 1000.0]),
            [("opening o1", h, [rnd.choice(kinds) for _ in h]) for h in holes],
        )
        wild = {k: rnd.uniform(-300, 300) for k in K}
        system = rnd.choice(
            [built_in_systems()[0], msgspec.structs.replace(plain_system(), shifts=wild)]
        )
        for panel in panels_of(plane, edges, system):
            assert math.isfinite(panel.length)
            assert 0 < panel.net_area < math.inf
            assert np.isfinite(panel.outline).all()


@pytest.mark.parametrize("seed", range(20))
def test_without_shifts_the_field_is_the_plane(seed: int) -> None:
    """Whatever holes it has, as long as they are sound."""
    rnd = random.Random(seed)
    holes = []
    for k in range(rnd.randint(0, 4)):
        x, y = 5.0 * k + rnd.uniform(0.1, 2.0), rnd.uniform(0.1, 10.0)
        ring = hole(x, y, x + rnd.uniform(0.2, 2.9), y + rnd.uniform(0.2, 5.5))
        holes.append((f"opening o{k}", ring, AROUND))
    plane, edges = south_plane(
        box(0, 0, 20, 16), (K.EAVE, K.RAKE, K.HIGH_EAVE, K.RAKE), 0.75, holes
    )
    panels = panels_of(plane, edges, plain_system())
    assert sum(p.net_area for p in panels) == pytest.approx(plane.true_area, rel=1e-9)
    for p in panels:
        in_plan = shapely.Polygon(p.outline[:, :2], [h[:, :2] for h in p.holes])
        assert in_plan.area * 1.25 <= p.net_area * (1 + 1e-9)
