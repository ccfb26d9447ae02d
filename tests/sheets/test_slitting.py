"""The slitting plan as lists: the plan's own figures, every blank in it once."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest

from roofmodel.document import Project, Units
from roofmodel.document.changes import changed
from roofmodel.document.releases import set_shop_rules
from roofmodel.results import results_of
from roofmodel.sheets.slitting import (
    lengths_words,
    names_words,
    proof_of,
    size_words,
    slit_metal_table,
    slit_sheets,
    slitting_notes,
    slitting_table,
    slitting_words,
    whose_words,
)
from roofmodel.sheets.types import Amount
from roofmodel.shop import SlitPlan
from roofmodel.shop.job import ShopJob
from tests.shop.shops import HIP, MAIN, SYSTEMS, WING, job
from tests.shop.test_slitting import IN, SHED

FEET = Units("feet", 8)


def shop_job(project: Project) -> ShopJob:
    results = results_of(project)
    return ShopJob(results.project, results.surface, results.take_off)


@pytest.fixture(scope="module", params=SYSTEMS)
def made(request: pytest.FixtureRequest) -> ShopJob:
    return shop_job(job(MAIN, WING, system=SYSTEMS[request.param]))


def test_every_blank_is_named_once_as_its_sheet_is(made: ShopJob) -> None:
    named: Counter[str] = Counter()
    for sheet in slit_sheets(made):
        for kind in sheet.kinds:
            for strip in kind.strips:
                for blanks in strip.blanks:
                    count = sum(n for _, n in blanks.names)
                    assert count == kind.times * strip.count * blanks.count
                    named.update(dict(blanks.names))
    assert named == {d.name: d.count for d in made.trim}


def test_kinds_are_the_plans_cuts(made: ShopJob) -> None:
    (plan,), (sheet,) = made.slitting.plans, slit_sheets(made)
    assert sum(k.times for k in sheet.kinds) == len(plan.cuts)
    assert sum(k.times * k.width * k.length for k in sheet.kinds) == pytest.approx(plan.area)
    assert [k.number for k in sheet.kinds] == list(range(1, len(sheet.kinds) + 1))
    strips = Counter(round(s.girth, 3) for c in plan.cuts for s in c.strips)
    found: Counter[float] = Counter()
    for kind in sheet.kinds:
        girths = sum(s.count * s.girth for s in kind.strips)
        assert girths + kind.rest == pytest.approx(kind.width)
        for strip in kind.strips:
            found[round(strip.girth, 3)] += strip.count * kind.times
            used = sum(b.count * b.length for b in strip.blanks)
            assert used + strip.offcut == pytest.approx(kind.length)
            assert used <= kind.enough + 1e-6
        assert kind.enough <= kind.length
        assert any(
            sum(b.count * b.length for b in s.blanks) == pytest.approx(kind.enough)
            for s in kind.strips
        )
    assert found == strips
    # knives that are set once serve cuts that follow each other
    girths_set = [tuple(s.girth for s in k.strips for _ in range(s.count)) for k in sheet.kinds]
    changes = sum(a != b for a, b in pairwise(girths_set))
    assert changes == len(set(girths_set)) - 1


def test_tables_have_the_plans_figures(made: ShopJob) -> None:
    (plan,) = made.slitting.plans
    table, metal = slitting_table(made), slit_metal_table(made)
    titles = [c.title for c in table.columns]
    assert all(len(row) == len(titles) for row in (*table.rows, table.total or ()))
    counts = [row[titles.index("Blanks in all")] for row in table.rows]
    assert sum(c.value for c in counts if isinstance(c, Amount)) == plan.blanks
    assert table.total is not None
    assert table.total[titles.index("Blanks in all")] == Amount(len(made.blanks.blanks), "count")
    (row,) = metal.rows
    assert row[1:7] == (
        Amount(1219.2, "mm"),
        Amount(len(plan.cuts), "count"),
        Amount(plan.coil_length(48 * IN), "mm"),
        Amount(pytest.approx(sum(c.enough for c in plan.cuts)), "mm"),  # type: ignore[arg-type]
        Amount(plan.area, "mm²"),
        Amount(plan.waste, "share"),
    )
    assert metal.total is not None
    assert metal.total[2:7] == (row[2], "", "", row[5], row[6])


def test_a_shed_by_hand() -> None:
    # two eave drips 6 1/8 wide (126 and 120 long), two caps 11 5/8 (they lap by 4: 126 and 122),
    # two rakes 9 5/8: see tests/shop/test_slitting.py. In a coil of 60 all lie side by side, and
    # 5 1/4 stay: 54 3/4 are used.
    done = shop_job(set_shop_rules(job(SHED), trim_coils=(60 * IN,)))
    (sheet,) = slit_sheets(done)
    (kind,) = sheet.kinds
    assert kind.times == 1
    assert kind.rest == pytest.approx(5.25 * IN)
    said = [
        (s.count, round(s.girth / IN, 3), lengths_words(s, FEET), whose_words(s, FEET))
        for s in kind.strips
    ]
    names = {d.name for d in done.trim}
    assert [s[:3] for s in said][:2] == [(1, 11.625, "10'-6\""), (1, 11.625, "10'-2\"")]
    assert sum(s[0] for s in said) == 6
    assert {s[3].partition(": ")[2] for s in said if s[0] == 1} <= names
    # 10 ft 6 in of coil 5 ft wide is 52.5 sq ft
    assert slitting_words(done).startswith("Trim to slit: 10.5 ft of coil 5'-0\" wide, 52 sq ft; ")
    metric = shop_job(changed(done.project, units=Units("metric")))
    assert slitting_words(metric).startswith("Trim to slit: 3.2 m of coil 1524 mm wide, 4.9 m²; ")


def test_what_is_in_no_plan_is_said() -> None:
    done = shop_job(set_shop_rules(job(HIP), trim_coils=(12 * IN,)))
    assert any("in no slitting plan" in note for note in slitting_notes(done))
    left = shop_job(set_shop_rules(job(HIP), trim_coils=(2 * IN,)))
    assert left.slitting.plans == ()
    assert slitting_words(left) == ""
    assert slitting_table(left).rows == slit_metal_table(left).rows == ()
    assert slitting_table(left).total is slit_metal_table(left).total is None


def test_names_of_one_part_share_it() -> None:
    some = [("Hip cap 1", 1), ("Hip cap 2", 3), ("Hip cap 5", 1), ("Ridge cap", 1)]
    assert names_words(some) == "Hip cap 1, 5; 3 × Hip cap 2; Ridge cap"


@pytest.mark.parametrize(
    ("along", "across", "words"),
    [
        ("best", "best", "each proved"),
        ("best", "open", "perhaps not the least coil"),
        ("open", "best", "perhaps not the least length of strips"),
        ("open", "open", "perhaps neither"),
    ],
)
def test_what_is_proved_is_said(along: str, across: str, words: str) -> None:
    metal = shop_job(job(SHED)).slitting.plans[0].metal
    assert words in proof_of(SlitPlan(("a",), metal, (), along, across))  # type: ignore[arg-type]


def test_each_width_has_its_own_share() -> None:
    done = shop_job(set_shop_rules(job(MAIN, WING), trim_coils=(48 * IN, 30 * IN)))
    (plan,) = done.slitting.plans
    assert len(plan.widths) == 2
    table = slit_metal_table(done)
    shares = [row[6].value for row in table.rows if isinstance(row[6], Amount)]
    areas = [row[5].value for row in table.rows if isinstance(row[5], Amount)]
    assert len(set(shares)) == 2
    lost = sum(s * a for s, a in zip(shares, areas, strict=True))
    assert lost / sum(areas) == pytest.approx(plan.waste)


def test_a_length_is_never_shown_as_less_than_it_is() -> None:
    metric = Units("metric")
    assert size_words(3200.4, metric) == "3200.4 mm"
    assert size_words(3200.0000001, metric) == "3200 mm"
    assert size_words(100.01 * IN, FEET) == "100.010 in"
    assert size_words(126.0 * IN, FEET) == "10'-6\""
    done = shop_job(changed(job(MAIN), units=metric))
    said = [lengths_words(s, metric) for x in slit_sheets(done) for k in x.kinds for s in k.strips]
    assert any("3200.4 mm" in w for w in said)
    assert not any("3200 mm" in w for w in said)
    offcuts = [r[10].value for r in slitting_table(done).rows if isinstance(r[10], Amount)]
    assert all(x == 0.0 or x > 0.01 for x in offcuts)
