"""Which planes' panels take a part of trim, and with which system and building it counts."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import (
    NOT_IN_JOB,
    OTHER,
    Building,
    PlaneCovering,
    Project,
    Section,
    Step,
)
from roofmodel.errors import DocumentError
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import RoofingSystem, TrimRule
from roofmodel.takeoff import TrimRun
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, GABLE, RECTANGLE, box, opening, project, section
from tests.takeoff.printed_formula import check

RIBBED, SEAM = built_in_systems()
IN = 25.4


def runs(results: Results, part: str) -> list[TrimRun]:
    return [t for t in results.take_off.trim if t.part == part]


def sides(results: Results, part: str) -> list[str]:
    """The names of the planes that a part lies on, run after run."""
    names = {p.id: p.name for p in results.surface.planes}
    return [names[t.plane] for t in runs(results, part) if t.plane is not None]


def gable() -> Section:
    return section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))


def covered(south: str, north: str) -> Project:
    """The gable in standing seam with these coverings of its two sides."""
    job = msgspec.structs.replace(project(gable(), system=SEAM), more_systems=(RIBBED,))
    ids = {p.name: str(p.id) for p in results_of(job).surface.planes}
    return msgspec.structs.replace(
        job,
        plane_coverings=(
            PlaneCovering(ids["South 1"], south),
            PlaneCovering(ids["North 1"], north),
        ),
    )


@pytest.mark.parametrize(
    ("south", "north", "cap", "closures"),
    [
        (SEAM.id, SEAM.id, SEAM.id, ["South 1", "North 1"]),
        (SEAM.id, OTHER, SEAM.id, ["South 1"]),
        (NOT_IN_JOB, SEAM.id, SEAM.id, ["North 1"]),
        # the cap counts with the first covered plane, a closure with its own
        (RIBBED.id, SEAM.id, RIBBED.id, ["North 1"]),
        (SEAM.id, RIBBED.id, SEAM.id, ["South 1"]),
        (RIBBED.id, RIBBED.id, RIBBED.id, []),
    ],
)
def test_a_ridge_has_a_closure_on_each_side_in_that_system(
    south: str, north: str, cap: str, closures: list[str]
) -> None:
    results = results_of(covered(south, north))
    part = "seam ridge cap" if cap == SEAM.id else "ridge cap"
    assert [t.system for t in runs(results, part)] == [cap]
    assert sides(results, "Z closure") == closures
    assert {t.system for t in runs(results, "Z closure")} <= {SEAM.id}
    for q in results.take_off.quantities:
        if q.item.startswith("Z closure on"):
            assert q.covering == SEAM.name
            assert q.quantity / FT == pytest.approx(40)
        if q.group.startswith("Trim"):
            check(q, results.project.units)


def test_closures_count_with_the_building_of_their_plane() -> None:
    # two half houses with a ridge between them
    south = section(box(0, 0, 40, 12), (0.5, GABLE, GABLE, GABLE))
    north = section(box(0, 12, 40, 24), (GABLE, GABLE, 0.5, GABLE), section_id="s2")
    job = Project(
        SEAM, buildings=(Building("b1", "House", (south,)), Building("b2", "Barn", (north,)))
    )
    results = results_of(job)
    (cap,) = runs(results, "seam ridge cap")
    closures = runs(results, "Z closure")
    assert [t.building for t in closures] == ["b1", "b2"]
    assert [t.length / FT for t in closures] == pytest.approx([40, 40])
    assert cap.building == "b1"
    got = {(q.group, q.item): q for q in results.take_off.quantities}
    line = "Z closure, 10'-6\" long"
    # 40 ft = 3 × 126 + 102, four lengths in each building
    assert got["Building: House", line].quantity == got["Building: Barn", line].quantity == 4
    assert got["Trim", line].quantity == 8
    assert (got["Trim", line].key, got["Building: Barn", line].key) == ("trim:Z closure", "")


@pytest.mark.parametrize(("low", "high"), [(1.0, 0.3), (0.3, 1.0)])
def test_a_pitch_transition_closes_the_lower_plane(low: float, high: float) -> None:
    # both sides change their pitch 2 ft above the eave, convex and hollow
    house = with_profile(gable(), (Step(0.0, low), Step(2 * FT, high)))
    results = results_of(project(house, system=SEAM))
    slopes = {p.id: p.slope for p in results.surface.planes}
    at = [t for t in runs(results, "Z closure") if t.kind is K.PITCH_TRANSITION]
    assert [slopes[t.plane] for t in at if t.plane] == pytest.approx([low, low])
    trims = runs(results, "seam transition trim")
    assert [t.hollow for t in trims] == [low < high] * 2
    assert {t.fold for t in at} == {0.0}
    # at the ridge both sides, and these are the upper planes
    ridge = [t for t in runs(results, "Z closure") if t.kind is K.RIDGE]
    assert [slopes[t.plane] for t in ridge if t.plane] == pytest.approx([high, high])


def test_convex_and_hollow_share_nothing() -> None:
    # pitches 1 and 0.3 meet over a convex line on one house, over a hollow one on another: both
    # bend by 45 − 16.7 = 28.3 degrees, one down, one up
    houses = []
    for number, profile in enumerate(
        ((Step(0.0, 1.0), Step(2 * FT, 0.3)), (Step(0.0, 0.3), Step(2 * FT, 1.0)))
    ):
        plain = section(
            box(60 * number, 0, 60 * number + 10, 24),
            (0.5, GABLE, 0.5, GABLE),
            section_id=f"s{number + 1}",
        )
        houses.append(with_profile(plain, profile))
    results = results_of(project(*houses, system=RIBBED))
    plans = [p for p in results.take_off.cutting_plans if p.part == "transition trim"]
    assert [(p.name, len(p.bars)) for p in plans] == [
        ("transition trim bent 28.3° down", 2),
        ("transition trim bent 28.3° up", 2),
    ]


def with_profile(plain: Section, profile: tuple[Step, ...]) -> Section:
    """The section with this profile on its sloping sides."""
    (ring,) = plain.rings
    edges = tuple(
        msgspec.structs.replace(e, profile=profile) if e.profile[0].slope else e
        for e in ring.edges
    )
    return msgspec.structs.replace(plain, rings=(msgspec.structs.replace(ring, edges=edges),))


def test_a_deck_takes_no_closure() -> None:
    house = msgspec.structs.replace(section(RECTANGLE, [0.5] * 4), deck_height=4 * FT)
    results = results_of(project(house, system=SEAM))
    edges = [t for t in runs(results, "Z closure") if t.kind is K.DECK_EDGE]
    flat = {p.id for p in results.surface.planes if p.slope == 0.0}
    assert len(flat) == 1
    assert len(edges) == 4
    assert not {t.plane for t in edges} & flat


def test_the_flat_sheet_of_a_saddle_takes_no_caps() -> None:
    results = results_of(project(gable(), opening(box(18, 4, 22, 6), saddle=True), system=SEAM))
    on_roof = [t for t in results.take_off.trim if t.kind in (K.VALLEY, K.RIDGE, K.UPHILL_SIDE)]
    # the ridge of the house with two closures; each valley of the saddle with the cleat of the
    # panels that end there; nothing on the saddle's own ridge, nor where it turns up the chimney
    assert [(t.part, t.edge_name) for t in on_roof] == [
        ("seam ridge cap", "Ridge 1"),
        ("Z closure", "Ridge 1, South 1 side"),
        ("Z closure", "Ridge 1, North 1 side"),
        ("valley pan", "Valley 1"),
        ("valley cleat", "Valley 1, South 1 side"),
        ("valley pan", "Valley 2"),
        ("valley cleat", "Valley 2, South 1 side"),
    ]


def test_a_run_on_panels_goes_on_with_its_plane_only() -> None:
    # a ridge of one fold over two houses end to end: one cap, and the planes are one each side
    left = section(box(0, 0, 20, 24), (0.5, GABLE, 0.5, GABLE))
    right = section(box(20, 0, 40, 24), (0.5, GABLE, 0.5, GABLE), section_id="s2")
    results = results_of(project(left, right, system=SEAM))
    assert [t.length / FT for t in runs(results, "seam ridge cap")] == pytest.approx([40])
    planes = [p for p in results.surface.planes if p.name.startswith("South")]
    closures = [t for t in runs(results, "Z closure") if t.kind is K.RIDGE]
    assert len(closures) == 2 * len(planes)
    assert sum(t.length for t in closures) / FT == pytest.approx(80)


def test_a_part_bent_alike_everywhere_shares_over_all_bends() -> None:
    # hips and ridges of the L are bent 36.9 and 53.1 degrees: caps apart, closures together
    results = results_of(project(section(RECTANGLE, [0.5] * 4), system=SEAM))
    plans = results.take_off.cutting_plans
    (closures,) = [p for p in plans if p.part == "Z closure"]
    assert {t.kind for t in closures.runs} == {K.RIDGE, K.HIP}
    assert {t.fold for t in closures.runs} == {0.0}


def test_caps_of_two_pitches_are_two_parts_to_bend() -> None:
    # a house of 6/12 and one of 9/12: ridges bent 53.1 and 73.7 degrees, each 12 ft and 2 in at
    # both gables: 148 = 126 + 26 − 4. Two 26s would come from one length, were they bent alike
    low = section(box(0, 0, 12, 24), (0.5, GABLE, 0.5, GABLE))
    steep = section(box(60, 0, 72, 24), (0.75, GABLE, 0.75, GABLE), section_id="s2")
    results = results_of(project(low, steep, system=RIBBED))
    plans = [p for p in results.take_off.cutting_plans if p.part == "ridge cap"]
    assert [[round(t.fold, 1) for t in p.runs] for p in plans] == [[53.1], [73.7]]
    lines = {
        q.item: (q.quantity, q.key)
        for q in results.take_off.quantities
        if q.group == "Trim" and q.item.startswith("Ridge")
    }
    assert lines == {
        "Ridge cap bent 53.1°, 10'-6\" long": (2, "trim:ridge cap"),
        "Ridge cap bent 73.7°, 10'-6\" long": (2, "trim:ridge cap"),
    }


def test_caps_of_one_pitch_share_what_is_cut() -> None:
    # the same, both of 6/12: two whole lengths, and one cut to 26 and 26
    one = section(box(0, 0, 12, 24), (0.5, GABLE, 0.5, GABLE))
    two = section(box(60, 0, 72, 24), (0.5, GABLE, 0.5, GABLE), section_id="s2")
    (plan,) = [
        p
        for p in results_of(project(one, two, system=RIBBED)).take_off.cutting_plans
        if p.part == "ridge cap"
    ]
    assert [tuple(c / IN for c in b.cuts) for b in plan.bars if not b.is_whole] == [
        pytest.approx((26, 26))
    ]
    assert len(plan.bars) == 3


def test_a_part_is_named_once_per_kind() -> None:
    rule = TrimRule("cap", 126 * IN, 4 * IN)
    with pytest.raises(DocumentError, match="the trim of a ridge names a part twice"):
        RoofingSystem("x", "X", 900.0, 0.0, {}, {K.RIDGE: (rule, rule)})
