"""Fasteners over an old roof that stays: their rows stand on the battens. Worked by hand."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from roofmodel.document import Project, work_edits
from roofmodel.results import results_of
from roofmodel.systems.fixing import ClipRows, ScrewRows
from roofmodel.systems.layer_parts import Batten
from roofmodel.takeoff.fastening import on_battens
from roofmodel.takeoff.fixing_types import ROW_KINDS, PlaneFixing
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, RECTANGLE, project, section
from tests.takeoff.printed_formula import check

RIBBED, SEAM = (s for s in built_in_systems() if s.id in ("ribbed_panel", "standing_seam"))
IN = 25.4
HOUSE = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9), system=RIBBED)


def over(some: Project, apart_in: float = 24.0) -> Project:
    layers = msgspec.structs.replace(some.layers, batten=Batten(spacing=apart_in * IN))
    return work_edits.set_old_roof(work_edits.set_layers(some, layers), over="re-cover")


def first(some: Project) -> PlaneFixing:
    return results_of(some, planner=None).take_off.fixings[0]


def heights(fixing: PlaneFixing, past_in: float) -> list[float]:
    """Inches up the slope from the plane's eave of all level rows; metal reaches past it."""
    level = np.isin(fixing.kinds, [ROW_KINDS.index("field"), ROW_KINDS.index("edge zone")])
    return sorted({round(v, 6) for v in (fixing.places[level, 1] / IN - past_in).tolist()})


def test_screws_stand_on_the_battens() -> None:
    # 160.997 in up the slope; battens at 0, 24 … 144, one at the top. The rules ask for 36 in the
    # field and 24 in the zone: a row on every batten. The metal runs from −1.5 to 159.997, its
    # end rows at 1.5 and 157, so six rows between them on each rib; two screws at each end.
    laid = first(over(HOUSE))
    assert heights(laid, 1.5) == [24.0, 48.0, 72.0, 96.0, 120.0, 144.0]
    ribs = laid.places_of("lower end")
    assert laid.places_of("field") == 6 * ribs
    assert laid.places_of("edge zone") == 0
    assert laid.count == ribs * (2 + 2 + 6)
    lines = results_of(over(HOUSE), planner=None).take_off.quantities
    (line,) = (q for q in lines if q.item == "Panel screws on South 1")
    check(line, HOUSE.units)
    assert (line.note, line.quantity) == ("rows stand on the battens", laid.count)
    assert "battens: " in line.source
    # on a deck rows stand 18 in apart from the first one up, every other only in zones
    assert heights(first(HOUSE), 1.5) == [1.5 + 18.0 * k for k in range(1, 9)]


def test_battens_that_lie_closer() -> None:
    # 16 in apart: a row on each in the zone (24 at most), on every other (32) in the field
    laid = first(over(HOUSE, 16.0))
    assert heights(laid, 1.5) == [16.0 * k for k in range(1, 10)]
    assert (laid.spacing / IN, laid.edge_spacing / IN) == pytest.approx((32.0, 16.0))
    inner = laid.places[laid.kinds == ROW_KINDS.index("field"), 1] / IN - 1.5
    assert sorted({round(v, 6) for v in inner.tolist()}) == [32.0 * k for k in range(1, 5)]


@pytest.mark.parametrize(
    ("field", "edge", "battens", "wanted"),
    [
        (36.0, 24.0, 24.0, (24.0, 24.0)),
        (36.0, 24.0, 12.0, (24.0, 24.0)),
        (36.0, 12.0, 12.0, (36.0, 12.0)),
        (36.0, 24.0, 48.0, (48.0, 48.0)),
        (24.0, 36.0, 12.0, (24.0, 24.0)),
    ],
)
def test_rows_are_whole_numbers_of_battens(
    field: float, edge: float, battens: float, wanted: tuple[float, float]
) -> None:
    for rules in (ScrewRows(field * IN, edge * IN), ClipRows(field * IN, edge * IN)):
        found = on_battens(rules, battens * IN)
        assert (found.field / IN, found.edge / IN) == pytest.approx(wanted)


def test_battens_too_far_apart_are_told() -> None:
    def rules(some: Project) -> list[str]:
        found = results_of(some, planner=None).take_off.checks
        return [c.sentence for c in found if "lay the battens closer" in c.sentence]

    assert rules(over(HOUSE)) == []
    assert rules(over(HOUSE, 30.0)) == [
        f"{RIBBED.name}: rows of fasteners stand on the battens, 2'-6\" apart, and want 2'-0\" in"
        " edge zones: lay the battens closer."
    ]
    # clips want 12 in
    assert len(rules(over(msgspec.structs.replace(HOUSE, system=SEAM)))) == 1


def test_no_deck_is_bought_below_a_roof_that_stays() -> None:
    def bought(kind: str) -> int:
        some = work_edits.set_old_roof(HOUSE, over=kind, deck_share=0.1)
        lines = results_of(some, planner=None).take_off.quantities
        return sum(q.packs for q in lines if q.key == "deck sheet")

    # 1073.3 sq ft ÷ 10 ÷ 32
    assert [bought(kind) for kind in ("new deck", "tear-off", "re-cover")] == [4, 4, 0]
