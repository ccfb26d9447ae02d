"""One piece of trim over the panels of two systems: what is counted, and by whose rules."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import msgspec
import pytest

from roofmodel.document import Building, PlaneCovering, Project, Step
from roofmodel.quoting import price_of
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import RoofingSystem, TrimRule
from roofmodel.takeoff import TrimRun
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.prices_toml import sample_prices
from tests.houses import FT, GABLE, RECTANGLE, box, project, section
from tests.takeoff.printed_formula import check
from tests.takeoff.test_trim_sides import with_profile

RIBBED, SEAM = built_in_systems()
IN = 25.4
CAP = "half ridge cap and half seam ridge cap"


def covered(job: Project, coverings: Mapping[str, str], *others: RoofingSystem) -> Project:
    """A job with the built-in sections and prices, planes covered by their names."""
    job = msgspec.structs.replace(
        job, more_systems=others or (SEAM,), parts=built_in_parts(), prices=sample_prices()
    )
    ids = {p.name: str(p.id) for p in results_of(job).surface.planes}
    own = tuple(PlaneCovering(ids[name], system) for name, system in coverings.items())
    return msgspec.structs.replace(job, plane_coverings=own)


def gable(south: str, north: str) -> Project:
    return covered(
        project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), system=RIBBED),
        {"South 1": south, "North 1": north},
    )


def at(results: Results, kind: K) -> list[TrimRun]:
    """The runs along edges of a kind, without those on panels."""
    return [t for t in results.take_off.trim if t.kind is kind and t.plane is None]


def plane_of(results: Results, run: TrimRun) -> str:
    return next(p.name for p in results.surface.planes if p.id == run.first)


def test_a_gable_with_ribs_on_the_south_and_seams_on_the_north() -> None:
    results = results_of(gable(RIBBED.id, SEAM.id))
    (cap,) = at(results, K.RIDGE)
    assert (cap.part, cap.halves) == (CAP, ("ridge cap", "seam ridge cap"))
    assert plane_of(results, cap) == "South 1"
    assert (cap.system, cap.ruling_part) == (RIBBED.id, "ridge cap")
    # 40 ft and 2 in at each gable are 484 in: 3 × 126 − 3 × 4 leave 118
    assert [c / IN for c in cap.cuts] == pytest.approx([126, 126, 126, 118])
    (closure,) = [t for t in results.take_off.trim if t.part == "Z closure"]
    assert closure.edge_name == "Ridge 1, North 1 side"
    assert [c / IN for c in closure.cuts] == pytest.approx([126, 126, 126, 102])
    lines = {(q.group, q.item): q for q in results.take_off.quantities}
    order = lines[f"Trim: {RIBBED.name}", f"Half{CAP[4:]}, 10'-6\" long"]
    assert (order.quantity, order.key) == (4, "trim:ridge cap")
    assert order.note.endswith("; priced as ridge cap")
    # 6 + 6 less two setbacks of (1/32 + 0.0276) · 1/2 = 0.058850, a bend of 0.927295 · (1/32
    # + 0.44 · 0.0276) = 0.040239, a closed hem of 1/2, an open one of 1/2 and π · (1/16
    # + 0.44 · 0.0276) = 0.234501: 13.215890
    metal = lines["Trim metal", f"Half{CAP[4:]}, flat"]
    assert metal.how == "4 × 10'-6\" × 13.2159 in (girth)"
    assert metal.quantity / IN**2 == pytest.approx(4 * 126 * 13.215890, rel=1e-7)
    # foam on the ribs' side only: 40 ft take 14 pieces of 3 ft along the ridge
    foam = next(q for q in results.take_off.quantities if q.key == "outside closure")
    assert foam.quantity / FT == pytest.approx(40)
    for q in results.take_off.quantities:
        check(q, results.project.units)


def test_it_costs_what_the_cap_of_its_own_system_does() -> None:
    for south, north, key in (
        (RIBBED.id, SEAM.id, "trim:ridge cap"),
        (SEAM.id, RIBBED.id, "trim:seam ridge cap"),
    ):
        price = price_of(results_of(gable(south, north)))
        assert price is not None
        lines = [x for x in price.lines if x.item.startswith("Half")]
        assert [(x.key, x.quantity) for x in lines] == [(key, Decimal(4))]
        assert [(x.rate, x.amount) for x in lines] == [(Decimal(31), Decimal(124))]
        assert price.is_whole


def test_the_other_way_round_is_the_same_part() -> None:
    one, two = (results_of(gable(*c)) for c in ((RIBBED.id, SEAM.id), (SEAM.id, RIBBED.id)))
    (first,), (second,) = at(one, K.RIDGE), at(two, K.RIDGE)
    assert first.part == second.part == CAP
    assert first.halves == second.halves
    assert (plane_of(one, first), plane_of(two, second)) == ("South 1", "North 1")
    assert first.cuts == second.cuts


def test_screws_rivets_and_sealant_are_those_of_the_ruling_part() -> None:
    fixing = msgspec.structs.replace(
        RIBBED.fixing,
        trim={
            **RIBBED.fixing.trim,
            "ridge cap": msgspec.structs.replace(
                RIBBED.fixing.other_trim, spacing=6 * IN, rivets=7, lap_bead=9 * IN, tape=1
            ),
        },
    )
    job = gable(RIBBED.id, SEAM.id)
    ribbed = msgspec.structs.replace(RIBBED, fixing=fixing)
    results = results_of(msgspec.structs.replace(job, system=ribbed))
    how = {q.key: q.how for q in results.take_off.quantities if q.packs}
    assert f"2 × 81 ({CAP})" in how["trim screw"]  # 480 ÷ 6 + 1
    assert f"7 × 3 (laps of {CAP})" in how["rivet"]
    assert f'3 × 9" (laps of {CAP})' in how["sealant tube"]
    assert f"40'-0\" ({CAP})" in how["butyl tape roll"]


def test_the_hips_and_the_ridge_of_a_hip_roof() -> None:
    job = project(section(RECTANGLE, [0.5] * 4), system=RIBBED)
    results = results_of(covered(job, {"South 1": SEAM.id}))
    assert [t.part for t in at(results, K.RIDGE)] == [CAP]
    hips = {t.edge_name: t for t in at(results, K.HIP)}
    names = sorted(t.part for t in hips.values())
    assert names == ["half hip cap and half seam hip cap"] * 2 + ["hip cap"] * 2
    for run in hips.values():
        if run.halves:
            assert plane_of(results, run) in ("East 1", "West 1")
    # one plan for both mixed hips, one for both others: they are not bent and hemmed alike
    plans = {p.part: len(p.runs) for p in results.take_off.cutting_plans if "hip" in p.part}
    assert plans == {"half hip cap and half seam hip cap": 2, "hip cap": 2}


def test_where_the_systems_change_sides_the_cap_is_another_piece() -> None:
    # two half houses end to end, one ridge line: seams lie north in the west, south in the east
    west = section(box(0, 0, 20, 24), (0.5, GABLE, 0.5, GABLE))
    east = section(box(20, 0, 40, 24), (0.5, GABLE, 0.5, GABLE), section_id="s2")
    job = Project(
        RIBBED, buildings=(Building("b1", "West", (west,)), Building("b2", "East", (east,)))
    )
    surface = results_of(job).surface
    assert len(surface.planes) == 4
    seams = [
        p.name
        for p in surface.planes
        if (p.name.startswith("North")) == (p.outline[:, 0].max() < 21 * FT)
    ]
    results = results_of(covered(job, dict.fromkeys(seams, SEAM.id)))
    caps = at(results, K.RIDGE)
    assert [t.part for t in caps] == [CAP, CAP]
    assert [t.length / FT for t in caps] == pytest.approx([20, 20])
    assert sorted(plane_of(results, t)[:5] for t in caps) == ["North", "South"]


@pytest.mark.parametrize(("low", "high"), [(2.0, 5 / 12), (0.25, 8 / 12)])
@pytest.mark.parametrize("seam_above", [True, False])
def test_at_a_transition_the_upper_plane_comes_first(
    low: float, high: float, seam_above: bool
) -> None:
    plain = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    job = project(with_profile(plain, (Step(0.0, low), Step(2 * FT, high))), system=RIBBED)
    slopes = {p.name: p.slope for p in results_of(job).surface.planes}
    seams = [n for n, s in slopes.items() if (s == pytest.approx(high)) == seam_above]
    results = results_of(covered(job, dict.fromkeys(seams, SEAM.id)))
    trims = at(results, K.PITCH_TRANSITION)
    upper, lower = ("seam transition trim", "transition trim")[:: 1 if seam_above else -1]
    assert [t.halves for t in trims] == [(upper, lower)] * 2
    assert {t.part for t in trims} == {f"half {upper} and half {lower}"}
    assert [slopes[plane_of(results, t)] for t in trims] == pytest.approx([high, high])
    closures = [
        t for t in results.take_off.trim if (t.part, t.kind) == ("Z closure", trims[0].kind)
    ]
    assert len(closures) == (0 if seam_above else 2)  # on the lower plane where that has seams


def test_a_deck_has_no_say() -> None:
    # the deck counts with ribbed panels, but takes none: its edge is the roof's below
    house = msgspec.structs.replace(section(RECTANGLE, [0.5] * 4), deck_height=4 * FT)
    job = project(house, system=RIBBED)
    names = [p.name for p in results_of(job).surface.planes if p.slope]
    results = results_of(covered(job, dict.fromkeys(names, SEAM.id)))
    edges = at(results, K.DECK_EDGE)
    assert len(edges) == 4
    assert {(t.part, t.system, t.halves) for t in edges} == {
        ("seam deck edge trim", SEAM.id, None)
    }


def test_without_two_sections_it_stays_the_part_of_its_own_system() -> None:
    job = gable(RIBBED.id, SEAM.id)
    for parts in (
        (),
        tuple(p for p in job.parts if p.name != "seam ridge cap"),
        tuple(p for p in job.parts if p.name != "ridge cap"),
    ):
        (cap,) = at(results_of(msgspec.structs.replace(job, parts=parts)), K.RIDGE)
        assert (cap.part, cap.halves, cap.first) == ("ridge cap", None, None)
    # and where the other system lays the same part, or none
    for rules in ((TrimRule("ridge cap", 126 * IN, 4 * IN),), ()):
        other = msgspec.structs.replace(SEAM, trim={**SEAM.trim, K.RIDGE: rules})
        (cap,) = at(results_of(msgspec.structs.replace(job, more_systems=(other,))), K.RIDGE)
        assert (cap.part, cap.halves) == ("ridge cap", None)


def test_a_valley_has_one_pan_in_both_systems() -> None:
    wing = section(box(12, -10, 28, 12), (GABLE, 0.5, GABLE, 0.5), section_id="s2")
    job = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), wing, system=RIBBED)
    results = results_of(covered(job, {"South 1": SEAM.id}))
    assert {t.part for t in at(results, K.VALLEY)} == {"valley pan"}
    assert {t.halves for t in at(results, K.VALLEY)} == {None}
