"""Trim: pieces cover their runs, plans hold every piece, rules of laps, ends and lengths."""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roofmodel.document import Project, Section, Units
from roofmodel.errors import DocumentError
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import RoofingSystem, TrimRule
from roofmodel.systems.kinds import NODE_KINDS
from roofmodel.takeoff import TakeOff, TrimRun, cut_lines
from roofmodel.takeoff.trim import LEAST_PIECE_MM, cuts_for, pieces_for
from roofmodel_io.project_file import read_project
from tests.houses import GABLE, L_SHAPE, RECTANGLE, box, plain_system, project, section
from tests.takeoff.printed_formula import check

IN = 25.4
SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))


def check_trim(taken: TakeOff, unit: float) -> None:
    """Every run is covered, and its pieces are in the plans' bars, each within its bar."""
    wanted: Counter[tuple[TrimRun, int]] = Counter()
    for run in taken.trim:
        assert sum(run.cuts) - (len(run.cuts) - 1) * run.lap >= run.needed - 1e-6 >= 0
        assert run.needed >= run.length
        assert list(run.cuts) == sorted(run.cuts, reverse=True)
        assert max(run.cuts) <= run.stock_length
        assert len(run.cuts) == pieces_for(run.needed, run.stock_length, run.lap)
        if len(run.cuts) > 1:
            assert min(run.cuts) >= LEAST_PIECE_MM - 1e-3
        for cut in run.cuts:
            assert cut == run.stock_length or math.isclose(cut / unit, round(cut / unit))
            wanted[run, round(cut * 1000)] += 1
    for plan in taken.cutting_plans:
        for bar in plan.bars:
            kerfs = plan.kerf * (len(bar.pieces) - 1)
            assert sum(bar.cuts) + kerfs <= bar.stock_length + 1e-6
            for piece in bar.pieces:
                assert piece.run.part == plan.part
                assert (piece.run.system, piece.run.building) == (plan.system, plan.building)
                wanted[piece.run, round(piece.length * 1000)] -= 1
        assert 0 <= plan.waste < 1
    assert not any(wanted.values())


@settings(max_examples=300, deadline=None)
@given(
    st.floats(1.0, 40000.0),
    st.floats(1000.0, 7000.0),
    st.floats(0.0, 400.0),
    st.sampled_from([1.0, IN / 8, IN / 16]),
)
def test_pieces_cover_their_run(run: float, stock: float, lap: float, unit: float) -> None:
    cuts = cuts_for(run, stock, lap, unit)
    n = len(cuts)
    assert n == pieces_for(run, stock, lap)
    assert sum(cuts) - (n - 1) * lap >= run - unit * 1e-5
    assert sum(cuts) - (n - 1) * lap <= run + 2 * unit  # and no more than rounding asks for
    assert n == 1 or min(cuts) >= LEAST_PIECE_MM - 1e-3
    assert max(cuts) <= stock


def test_a_short_remainder_shares_with_a_whole_length() -> None:
    # 252 in: 2 × 126 − 4 = 248 leaves 8 in with its lap; 126 and two of (126 + 8) / 2 = 67
    assert [c / IN for c in cuts_for(252 * IN, 126 * IN, 4 * IN, IN / 8)] == pytest.approx(
        [126, 67, 67]
    )
    # 12 in is long enough, the least more covers too
    assert [c / IN for c in cuts_for(256 * IN, 126 * IN, 4 * IN, IN / 8)] == pytest.approx(
        [126, 126, 12]
    )
    # one short piece alone stays as it is, and is rounded up: 5.01 → 5 1/8
    assert [c / IN for c in cuts_for(5.01 * IN, 126 * IN, 4 * IN, IN / 8)] == [5.125]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_the_samples_are_covered(path: Path) -> None:
    for units, unit in ((Units(), IN / 8), (Units("metric"), 1.0)):
        job = msgspec.structs.replace(read_project(path).project, units=units)
        taken = results_of(job).take_off
        check_trim(taken, unit)
        quick = results_of(job, planner=None).take_off
        assert quick.trim == taken.trim
        assert {p.state for p in quick.cutting_plans} == {"estimate"}
        assert all(p.state == "best" for p in taken.cutting_plans)
        # with one stock length no plan takes more than one bar per piece
        for rough, plan in zip(quick.cutting_plans, taken.cutting_plans, strict=True):
            assert len(plan.bars) <= len(rough.bars)
        check_words(taken, units)
        check_words(quick, units)
        assert {n.kind for n in results_of(job).surface.nodes} <= set(NODE_KINDS)


def check_words(taken: TakeOff, units: Units) -> None:
    """The printed formulas come to what they explain."""
    groups = ("Trim", "Trim runs")
    lines = [q for q in taken.quantities if q.group.split(":")[0] in groups]
    for q in (*lines, *cut_lines(taken.cutting_plans, units)):
        check(q, units)
        assert q.edges
        assert q.source
        assert q.note
    for run, line in zip(
        taken.trim, [q for q in lines if q.group[:9] == "Trim runs"], strict=True
    ):
        assert (line.quantity, line.how, line.edges) == (run.covered, run.how, run.edges)
        assert line.quantity >= run.needed - 1e-6
    bought = {q.key.partition(", ")[0] for q in lines if q.key}
    assert bought == {f"trim:{run.part}" for run in taken.trim}


def ruled(rule: TrimRule, slope: float = 0.5) -> Results:
    """A gable of 40 by 24 ft with one rule for every kind of edge."""
    return results_of(gable_job(plain_system(), rule, slope))


def gable_job(system: RoofingSystem, rule: TrimRule, slope: float) -> Project:
    system = msgspec.structs.replace(system, trim=dict.fromkeys(K, (rule,)))
    return project(section(RECTANGLE, (slope, GABLE, slope, GABLE)), system=system)


def ridge(results: Results) -> TrimRun:
    return next(t for t in results.take_off.trim if t.kind is K.RIDGE)


def test_a_longer_lap_on_low_slopes() -> None:
    rule = TrimRule("cap", 126 * IN, 4 * IN, low_lap=6 * IN, low_slope=0.25)
    assert ridge(ruled(rule, 0.5)).lap == 4 * IN
    assert ridge(ruled(rule, 0.25)).lap == 4 * IN  # 3/12 is not below 3/12
    low = ridge(ruled(rule, 2 / 12))
    assert low.lap == 6 * IN
    # 480 = 4 pieces: 126 − 6 = 120 each but the last, so 3 whole and 120
    assert [c / IN for c in low.cuts] == pytest.approx([126, 126, 126, 120])


def test_ends_are_added_at_their_nodes() -> None:
    ends = {"ridge end at a gable": 3 * IN, "roof corner": 1 * IN}
    results = ruled(TrimRule("cap", 126 * IN, 4 * IN, ends=ends))
    by_kind = {t.kind: t for t in results.take_off.trim}
    assert by_kind[K.RIDGE].needed / IN == pytest.approx(480 + 6)
    assert by_kind[K.EAVE].needed / IN == pytest.approx(480 + 2)
    # a rake runs from a corner up to the ridge's end
    assert by_kind[K.RAKE].needed / IN == pytest.approx(144 * math.sqrt(1.25) + 4)
    assert by_kind[K.RIDGE].note == 'covers 40\'-0" + 2 × 3" at the ridge end at a gable'
    check_trim(results.take_off, IN / 8)


def test_what_hangs_goes_on_to_an_upright_corner() -> None:
    # 4 in at 6/12: 2 at the foot, plumb; nothing where no end is said, at the ridge or an eave
    hung = TrimRule("cap", 126 * IN, 4 * IN, ends={"roof corner": 1 * IN}, hang=4 * IN)
    for slope, further in ((0.5, 2.0), (1.0, 4.0), (7 / 12, 7 / 3), (4.0, 12.0)):
        results = ruled(hung, slope)
        by_kind = {t.kind: t for t in results.take_off.trim}
        along = 144 * math.sqrt(1 + slope**2)
        assert by_kind[K.RAKE].needed / IN == pytest.approx(along + 1 + further)
        assert by_kind[K.EAVE].needed / IN == pytest.approx(480 + 2)
        check_trim(results.take_off, IN / 8)
    rake = next(t for t in ruled(hung).take_off.trim if t.kind is K.RAKE)
    assert rake.note == 'covers 13\'-5" + 1" at the roof corner + 2" at the foot, cut plumb'
    without = msgspec.structs.replace(hung, ends={"ridge end at a gable": 2 * IN})
    rakes = [t for t in ruled(without).take_off.trim if t.kind is K.RAKE]
    assert [t.needed / IN for t in rakes] == pytest.approx([144 * math.sqrt(1.25) + 2] * 4)
    check_words(ruled(hung, 7 / 12).take_off, Units())


def test_what_hangs_ends_as_it_did_where_it_is_not_turned() -> None:
    # a shed: at its high eave the corner runs back up the trim. A gable 9.5° out of square to its
    # eaves: the shop cuts its trim square there
    hung = TrimRule("cap", 126 * IN, 4 * IN, ends={"roof corner": 1 * IN}, hang=4 * IN)
    system = msgspec.structs.replace(plain_system(), trim=dict.fromkeys(K, (hung,)))

    def past(part: Section) -> list[float]:
        taken = results_of(project(part, system=system)).take_off
        rakes = [t for t in taken.trim if t.kind is K.RAKE]
        return sorted(round((t.needed - t.length) / IN, 6) for t in rakes)

    assert past(section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE))) == [3.0, 3.0]
    skew = [(0, 0), (20, 0), (20, 12), (2, 12)]
    assert past(section(skew, (0.5, GABLE, 0.5, GABLE))) == [1.0, 1.0, 3.0, 3.0]


def test_a_run_over_a_node_has_its_ends_outside() -> None:
    # an eave of 40 ft with a corner in it at 21 ft is one run: its ends count once each
    corners = ((0, 0), (21, 0), (40, 0), (40, 24), (0, 24))
    rule = TrimRule("cap", 126 * IN, 4 * IN, ends={"roof corner": 1 * IN})
    system = msgspec.structs.replace(plain_system(), trim=dict.fromkeys(K, (rule,)))
    taken = results_of(
        project(section(corners, (0.5, 0.5, GABLE, 0.5, GABLE)), system=system)
    ).take_off
    eaves = [t.needed / IN for t in taken.trim if t.kind is K.EAVE]
    assert eaves == pytest.approx([482, 482])


def test_several_stock_lengths_and_a_kerf() -> None:
    # 12 and 20 ft, lap 4: ridge and eaves 480 = 2 × 240 − 4 and 8 more, too short: 240 and two of
    # (240 + 8) / 2 = 124. A 124 fills 144 better than 240, and two of them with a kerf take more
    # than 240. Rakes 160.997 → 161, each from 240: two of 144 for one would be more metal.
    rule = TrimRule("cap", 240 * IN, 4 * IN, more_stock=(144 * IN,), kerf=IN / 8)
    results = ruled(rule)
    check_trim(results.take_off, IN / 8)
    plans = results.take_off.cutting_plans
    # bent to 90, 63.4 and 53.1 degrees: rakes, eaves and ridge share no offcut
    assert sorted(len(p.bars) for p in plans) == [3, 4, 6]
    assert all((p.by_metal or len(p.bars) == 4, p.state) == (True, "best") for p in plans)
    lines = {q.item: q.quantity for q in results.take_off.quantities if q.group == "Trim"}
    assert lines == {
        "Cap bent 90.0°, 20'-0\" long": 4,
        "Cap bent 63.4°, 20'-0\" long": 2,
        "Cap bent 63.4°, 12'-0\" long": 4,
        "Cap bent 53.1°, 20'-0\" long": 1,
        "Cap bent 53.1°, 12'-0\" long": 2,
    }
    check_words(results.take_off, Units())


def test_trim_bent_otherwise_is_planned_apart() -> None:
    # L of 6/12 and 12/12 sides: caps bent to other angles share no offcut
    results = results_of(project(section(L_SHAPE, (0.5, 1.0, 0.5, 1.0, 0.5, 1.0))))
    plans = results.take_off.cutting_plans
    for plan in plans:
        folds = [run.fold for run in plan.runs]
        assert max(folds) - min(folds) <= 5.0
    assert len([p for p in plans if p.part == "eave trim"]) == 2
    # so they are ordered apart, each with its bend: 90° less the pitch
    eaves = {
        q.item: q.quantity
        for q in results.take_off.quantities
        if q.group == "Trim" and q.item[:4] == "Eave"
    }
    assert list(eaves) == [f"Eave trim bent {bend}, 10'-6\" long" for bend in ("63.4°", "45.0°")]
    assert sum(eaves.values()) == sum(len(p.bars) for p in plans if p.part == "eave trim")


def test_cut_lines_say_what_to_cut() -> None:
    results = ruled(TrimRule("cap", 126 * IN, 4 * IN))
    lines = cut_lines(results.take_off.cutting_plans, Units())
    rakes = [q for q in lines if "Rake" in q.how]
    assert {(q.item, q.quantity) for q in rakes} == {
        ("Cap bent 90.0°, 10'-6\" cut to 3'-3\" + 3'-3\"", 2),
    }
    assert {q.note for q in rakes} == {"offcut 4'-0\""}
    assert sum(q.how.count("Rake") for q in rakes) == 4


def test_the_same_house_gives_the_same_plans() -> None:
    from roofmodel.cutting import solve

    job = read_project(SAMPLES[-1]).project
    first = results_of(job).take_off
    solve._known.clear()
    assert results_of(job).take_off.cutting_plans == first.cutting_plans


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"kerf": -1.0}, "0 or more"),
        ({"hang": -1.0}, "hang must lie between 0"),
        ({"hang": math.inf}, "finite"),
        ({"ends": {"peak": -5.0}}, "0 or more"),
        ({"ends": {"gable": 5.0}}, "no kind of place"),
        ({"low_lap": 4000.0}, "shorter than its stock"),
        ({"more_stock": (20.0,), "lap": 0.0}, "25 mm"),
        ({"kerf": math.nan}, "finite"),
    ],
)
def test_a_rule_that_cannot_be(fields: dict[str, object], words: str) -> None:
    rule = TrimRule("cap", 126 * IN, 4 * IN)
    with pytest.raises(DocumentError, match=words):
        msgspec.structs.replace(rule, **fields)
