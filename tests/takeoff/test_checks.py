"""Checks: what each finds, what it says, and where. Feet where not said otherwise."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import pytest

from roofmodel.document import NOT_IN_JOB, PanelLayout, Project, cover_edits, work_edits
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.check_types import Check
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, GABLE, RECTANGLE, box, project, section
from tests.takeoff import printed_formula

RIBBED, SEAM = (s for s in built_in_systems() if s.id in ("ribbed_panel", "standing_seam"))
IN = 25.4


def checks(some: Project) -> Sequence[Check]:
    found = results_of(some, planner=None).take_off.checks
    for check in found:
        assert check.sentence.endswith(".")
        assert "\n" not in check.sentence
        assert check.edition
        assert check.planes or check.edges
    return found


def failed(found: Sequence[Check]) -> dict[str, list[Check]]:
    """The checks that found something, by rule."""
    out: dict[str, list[Check]] = {}
    for check in found:
        if not check.passed:
            out.setdefault(check.rule, []).append(check)
    return out


def of_rule(some: Project, rule: str) -> list[Check]:
    return [c for c in checks(some) if c.rule == rule]


def one(some: Project, rule: str) -> Check:
    (check,) = of_rule(some, rule)
    return check


def gable(slope: float = 0.5, depth: float = 24.0) -> Project:
    house = section(box(0, 0, 40, depth), (slope, GABLE, slope, GABLE), eave_ft=9, overhang_ft=1.5)
    return project(house, system=RIBBED)


def test_an_untouched_house_fails_nothing() -> None:
    """Its ridge is closed as long as nobody has said otherwise: half of 37 × 21 ÷ 150 sq ft are
    373 sq in, which want vents of their own."""
    assert failed(checks(gable())) == {}
    check = one(gable(), "Vented ridge")
    assert "laid for a closed ridge, so 373 sq in of net free area wants vents" in check.sentence
    assert len(check.edges) == 1
    peak = project(section(box(0, 0, 24, 24), (0.5,) * 4, eave_ft=9), system=RIBBED)
    assert failed(checks(peak)) == {}
    assert "House has no ridge: " in one(peak, "Vented ridge").sentence


def test_a_vented_ridge_lets_enough_through() -> None:
    # 40 ft at 9 sq in to a foot are 360; half of 37 × 21 ÷ 150 sq ft are 373, 45 % are 336
    vented = msgspec.structs.replace(gable(), layout=PanelLayout(vented=True))
    (check,) = failed(checks(vented))["Vented ridge"]
    assert (
        "40'-0\" of vented ridge with 360 sq in of net free area, and needs 373" in check.sentence
    )
    assert len(check.edges) == 1
    less = work_edits.set_ventilation(vented, at_ridge=0.45)
    assert failed(checks(less)) == {}
    lines = {q.item: q for q in results_of(less).take_off.quantities}
    line = lines["Net free area of vented ridges"]
    assert line.quantity == pytest.approx(360 * IN**2)
    printed_formula.check(line, less.units)


def test_attic_inside_the_walls_without_porches() -> None:
    # walls 37 by 21 and a porch of 10 by 8, open below: 777 sq ft ÷ 150 = 745.92 sq in
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9, overhang_ft=1.5)
    porch = section(
        box(10, -8, 20, 1), (0.25, GABLE, GABLE, GABLE), section_id="s2", eave_ft=6,
        open_below=True,
    )  # fmt: skip
    check = one(project(house, porch, system=RIBBED), "Attic ventilation")
    assert check.passed
    assert check.sentence.startswith("House needs 746 sq in of net free area, 373 sq in")


def test_an_attic_under_a_wing_counts_once() -> None:
    # 40 by 24 and a wing of 16 that reaches from −10 to 12: 960 + 352 − 192 = 1120 sq ft
    main = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9)
    wing = section(box(12, -10, 28, 12), (GABLE, 0.5, GABLE, 0.5), section_id="s2", eave_ft=9)
    lines = results_of(project(main, wing, system=RIBBED)).take_off.quantities
    (line,) = (q for q in lines if q.item == "Net free area of vents needed")
    assert line.quantity / FT**2 == pytest.approx(1120 / 150)
    assert "one over the other" in line.how


@pytest.mark.parametrize(
    ("edition", "share", "passed"),
    [
        *(("2009", 0.45, False), ("2009", 0.5, True), ("2009", 0.8, True), ("2009", 0.85, False)),
        *(("2012", 0.35, False), ("2012", 0.4, True), ("2021", 0.5, True), ("2024", 0.55, False)),
    ],
)
def test_share_at_the_ridge_by_edition(edition: str, share: float, passed: bool) -> None:
    # 2009 and older: 50 to 80 % high; 2012 on: 40 to 50 %
    some = work_edits.set_work(gable(), edition=edition)
    some = work_edits.set_ventilation(some, ratio=300, at_ridge=share)
    check = one(some, "Attic ventilation")
    assert check.passed is passed
    assert ("2009" if edition == "2009" else edition) in check.edition
    assert one(work_edits.set_ventilation(some, ratio=150), "Attic ventilation").passed


def test_spray_foam_needs_no_vents() -> None:
    foam = work_edits.set_ventilation(gable(), attic="spray foam")
    assert one(foam, "Attic ventilation").passed
    assert "sprayed" in one(foam, "Attic ventilation").sentence
    assert not of_rule(foam, "Vented ridge")
    items = {q.item for q in results_of(foam, planner=None).take_off.quantities}
    assert not any("Net free area" in item for item in items)


@pytest.mark.parametrize(
    ("slope", "system", "says"),
    [
        (0.25, RIBBED, ""),
        (0.24, RIBBED, "every side lap and end lap there wants lap sealant"),
        (0.03, RIBBED, "lies below 0.5/12; choose another covering"),
        (0.25, SEAM, ""),
        (0.2, SEAM, "ask the maker whether this seam serves there"),
        (0.02, SEAM, "lies below 0.25/12"),
    ],
)
def test_lowest_slope(slope: float, system: object, says: str) -> None:
    some = msgspec.structs.replace(gable(slope), system=system)
    check = one(some, "Lowest slope")
    assert check.passed is (not says)
    assert says in check.sentence
    assert len(check.planes) == 2


def test_a_system_may_have_limits_of_its_own() -> None:
    own = msgspec.structs.replace(gable().layers.limits["clips"], least_slope=2 / 12)
    layers = msgspec.structs.replace(
        gable().layers, limits={**gable().layers.limits, "standing_seam": own}
    )
    some = msgspec.structs.replace(gable(0.2), system=SEAM, layers=layers)
    assert one(some, "Lowest slope").passed


def test_length_of_panels() -> None:
    # 6/12, 120 deep: slope 67.08 ft in panels of 45 at most, joined by laps: one length of over
    # 60 ft moves too much when screwed through its face; on clips it may be 150
    long = gable(0.5, 120.0)
    check = one(long, "Panel length")
    assert not check.passed
    assert "is over 60'-0\"" in check.sentence
    assert one(msgspec.structs.replace(long, system=SEAM), "Panel length").passed
    # panels of 50 ft in one piece: not too long, but hard to carry
    free = msgspec.structs.replace(
        RIBBED, panel=msgspec.structs.replace(RIBBED.panel, longest=None)
    )
    heavy = one(msgspec.structs.replace(gable(0.5, 90.0), system=free), "Panel length")
    assert not heavy.passed
    assert "hard to carry" in heavy.sentence


def test_joined_panels_move_as_one() -> None:
    # the laps do not count twice: 60·1.118034 ft and 1 1/2 − 1 in
    lines = results_of(gable(0.5, 120.0), planner=None).take_off.quantities
    (line,) = (q for q in lines if q.item == "Movement of the longest panel on South 1")
    length = 60 * FT * 1.25**0.5 + 0.5 * IN
    assert line.quantity == pytest.approx(length * 6.7 * 200 / 1e6, rel=1e-9)


def test_overhang_of_the_metal() -> None:
    assert one(gable(), "Overhang of the metal at eaves").passed
    far = msgspec.structs.replace(RIBBED, shifts={**RIBBED.shifts, EdgeKind.EAVE: 4 * IN})
    check = one(msgspec.structs.replace(gable(), system=far), "Overhang of the metal at eaves")
    assert not check.passed
    assert "reaches 0'-4\" past the eave; 0'-1\" to 0'-2\" is usual" in check.sentence
    assert len(check.edges) == 2


def test_laying_over_an_old_roof() -> None:
    assert not of_rule(gable(), "Laying over the old roof")
    over = work_edits.set_old_roof(gable(), over="re-cover")
    assert one(over, "Laying over the old roof").passed
    two = one(work_edits.set_old_roof(over, layers=2), "Laying over the old roof")
    assert not two.passed
    assert "from memory" in two.edition
    slate = one(work_edits.set_old_roof(over, covering="slate"), "Laying over the old roof")
    assert not slate.passed
    assert "slate must come off" in slate.sentence


def test_zones_are_for_layout_only() -> None:
    check = one(gable(), "Edge and corner zones")
    assert check.passed
    assert "3'-0\" wide" in check.sentence
    assert "layout only" in check.sentence
    assert "7-22" in check.edition
    older = work_edits.set_work(gable(), wind_edition="7-16")
    assert "7-16" in one(older, "Edge and corner zones").edition
    # 1/12 is 4.8°: eaves count for h, 9; the band is 0.6 × 9 = 5.4 wide
    flat = one(gable(1 / 12), "Edge and corner zones")
    assert "outer band is 5'-4 3/4\" wide" in flat.sentence


def test_what_is_not_in_the_job_is_not_checked() -> None:
    out = cover_edits.set_building_covering(gable(), "b1", NOT_IN_JOB)
    assert checks(out) == ()
