"""Blanks slit from coil: every blank once, nothing over the edge, and small plans by hand."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from dataclasses import replace
from typing import Any

import msgspec
import pytest

from roofmodel.document import Section, Units
from roofmodel.errors import DocumentError
from roofmodel.shop import Blank, SlitPlan, slitting_of
from roofmodel.shop.slitting import _least_metal
from tests.houses import GABLE, box, section
from tests.shop.shops import HIP, L_HOUSE, MAIN, SYSTEMS, WING, shop

IN = 25.4
FEET = Units("feet", 8)
SHED = section(box(0, 0, 20, 9 + 10 / 12), (0.25, GABLE, GABLE, GABLE))
"""Its rakes with what they are longer at their ends are just not longer than a length."""


def plan(blanks: tuple[Blank, ...], *widths: float) -> SlitPlan:
    slitting = slitting_of(blanks, [w * IN for w in widths], FEET)
    (only,) = slitting.plans
    assert slitting.notes == ()
    assert slitting.area == pytest.approx(only.area)
    assert slitting.waste == pytest.approx(only.waste)
    return only


def changed(blank: Blank, **fields: Any) -> Blank:
    """A blank whose run says something else."""
    return replace(blank, run=replace(blank.run, **fields))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("house", [(HIP,), (L_HOUSE,), (MAIN, WING), (SHED,)])
def test_every_blank_is_cut_once_and_fits(house: tuple[Section, ...], system: str) -> None:
    made = shop(*house, system=SYSTEMS[system])
    done = plan(made.blanks, 48.0)
    cut = [b for c in done.cuts for s in c.strips for b in s.blanks]
    assert Counter(map(id, cut)) == Counter(map(id, made.blanks))
    for c in done.cuts:
        assert sum(s.girth for s in c.strips) + c.rest == pytest.approx(c.width)
        assert c.rest >= -1e-9
        for s in c.strips:
            highs = [float(b.outline[:, 1].max()) for b in s.blanks]
            lengths = [math.ceil(high / IN * 8 - 1e-6) / 8 * IN for high in highs]
            if len(lengths) == 1:  # rounds may reach a hair past a stock length
                lengths = [min(*lengths, c.length)]
            assert s.lengths == pytest.approx(lengths)
            assert sum(lengths) + s.offcut == pytest.approx(c.length)
            assert s.offcut >= 0.0
            for b in s.blanks:
                assert b.girth <= s.girth + 1e-9 <= b.girth + IN / 8 + 1e-6
                assert c.length in b.run.stocks
    assert 0.0 < done.waste < 1.0
    assert done.area == pytest.approx(done.coil_length(48 * IN) * 48 * IN)
    assert (done.along, done.across) == ("best", "best")


def test_a_shed_by_hand() -> None:
    # 20 by 9 ft 10, 3/12, ribbed panel, stock 126 in: eave 240: 126 and 116; high eave 2 more at
    # both ends: 126 and 122; rakes 118·√(1 + 1/16) = 121.63, 1 at both ends and 4.75 / 4 at the
    # foot: 124.82, one piece each. Nothing shares a length, so strips: 2 eave drips, 2 high-eave
    # caps, 2 rake trims. Girths, up to 1/8, are outside lengths and hems less deductions,
    # 0.1177·tan(A/2) − 0.043394·A, 0.0088 of them at the kick: drip, 75.9638°: 5.75 + 0.375 −
    # 0.0344 − 0.0088 = 6.0818 → 6 1/8; cap, 104.0362°: 10.75 + 0.875 − 0.0720 − 0.0088 = 11.5442 →
    # 11 5/8; rake, 90°: 8.75 + 0.875 − 0.0495 − 0.0088 = 9.5667 → 9 5/8.
    made = shop(SHED)
    girths = {b.run.part: b.girth / IN for b in made.blanks}
    assert girths == pytest.approx(
        {"eave drip edge": 6.0818, "high-eave cap": 11.5442, "rake trim": 9.5667}, abs=1e-4
    )
    # together 54 3/4: one coil of 48 holds neither all, two do; one of 60 holds all side by side
    assert len(plan(made.blanks, 48.0).cuts) == 2
    (single,) = plan(made.blanks, 60.0).cuts
    assert single.rest / IN == pytest.approx(60.0 - 54.75)
    # in a 12 in coil: caps alone, rakes alone, drips alone but for 6 1/8 + 6 1/8 = 12 1/4
    assert len(plan(made.blanks, 12.0).cuts) == 6
    assert len(plan(made.blanks, 12.25).cuts) == 5


def test_blanks_of_one_girth_share_a_length() -> None:
    # the gable house's rakes leave four short pieces; strips hold as many as fit
    made = shop(MAIN)
    rakes = tuple(b for b in made.blanks if b.run.part == "rake trim")
    # as long as their outlines, in eighths
    shorts = [
        math.ceil(float(b.outline[:, 1].max()) / IN * 8 - 1e-6) / 8
        for b in rakes
        if b.cut_length < 126 * IN
    ]
    done = plan(rakes, 48.0)
    strips = [s for c in done.cuts for s in c.strips]
    fit = math.floor(126.0 / shorts[0])
    assert len(set(shorts)) == 1
    assert len(strips) == len(rakes) - len(shorts) + math.ceil(len(shorts) / fit)
    # with so wide a cut between them only one of the short ones comes from a length
    room = 126.0 - 2 * shorts[0]
    sawn = plan(tuple(changed(b, kerf=(room + 1.0) * IN) for b in rakes), 48.0)
    fit = math.floor((126.0 + room + 1.0) / (shorts[0] + room + 1.0))
    assert fit == 1
    assert len([s for c in sawn.cuts for s in c.strips]) == len(rakes)


def test_of_two_widths_the_least_metal_is_taken() -> None:
    made = shop(SHED)
    both = plan(made.blanks, 48.0, 24.0)
    alone = [plan(made.blanks, w).area for w in (48.0, 24.0)]
    assert both.area <= min(alone) + 1e-6
    # by trying: six strips in eighths, every way to share them out over bins of 48 and 24
    strips = [49, 49, 93, 93, 77, 77]
    best = min(
        sum(c * 8 for c in widths)
        for n in range(1, 4)
        for widths in itertools.combinations_with_replacement((24, 48), n)
        if _fits(strips, [c * 8 for c in widths])
    )
    assert both.area / IN**2 == pytest.approx(best / 8 * 126.0)


def _fits(strips: list[int], bins: list[int]) -> bool:
    """Can all strips be put into these bins? Every way is tried."""
    if not strips:
        return True
    first, rest = strips[0], strips[1:]
    return any(
        _fits(rest, [*bins[:k], room - first, *bins[k + 1 :]])
        for k, room in enumerate(bins)
        if first <= room
    )


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("widths", [(48.0, 36.0), (48.0, 24.0, 20.0), (60.0, 41.5625)])
def test_several_widths_are_never_worse_than_one(system: str, widths: tuple[float, ...]) -> None:
    made = shop(MAIN, WING, system=SYSTEMS[system])
    both = plan(made.blanks, *widths)
    assert both.blanks == len(made.blanks)
    assert set(both.widths) <= {w * IN for w in widths}
    assert both.area <= min(plan(made.blanks, w).area for w in widths if w >= 36.0) + 1e-6
    assert both.area == pytest.approx(sum(both.coil_length(w) * w for w in both.widths))


def test_parts_of_one_girth_share_strips_and_metal_is_told_by_its_thickness() -> None:
    made = shop(SHED)
    cap = next(b for b in made.blanks if b.run.part == "high-eave cap")
    half = replace(changed(cap, part="one"), cut_length=63.0 * IN, outline=cap.outline / 2.0)
    other = changed(half, part="two")
    (cut,) = plan((half, other), 48.0).cuts
    (strip,) = cut.strips
    assert [b.run.part for b in strip.blanks] == ["one", "two"]
    assert strip.offcut == pytest.approx(0.0, abs=1e-9)
    # what is bent around another radius is cut from the same sheet, what is thinner is not
    metal = cap.profile.metal
    for fields, count in (({"inside_radius": 2.0}, 1), ({"thickness": 0.5}, 2)):
        profile = msgspec.structs.replace(
            cap.profile, metal=msgspec.structs.replace(metal, **fields)
        )
        pair = half, replace(other, profile=profile)
        assert len(slitting_of(pair, [48.0 * IN], FEET).plans) == count


def test_what_no_coil_or_length_holds_is_named_and_the_rest_planned() -> None:
    made = shop(SHED)
    done = slitting_of(made.blanks, [11.0 * IN, 10.0 * IN], FEET)
    assert done.notes == (
        "2 blanks of high-eave cap are in no slitting plan: they are 0'-11 5/8\" wide, more than"
        " the widest coil (0'-11\"): take a wider coil or make the part in two.",
    )
    (only,) = done.plans
    assert only.blanks == len(made.blanks) - 2
    assert only.widths == (10.0 * IN,)
    # a hair over a stock length is what its end cuts' rounds reach; more is no blank of it
    cap = next(b for b in made.blanks if b.cut_length == pytest.approx(126.0 * IN))
    longer = [replace(cap, outline=cap.outline * (1.0, f)) for f in (1.00005, 1.01)]
    done = slitting_of(longer, [48.0 * IN], FEET)
    assert sum(p.blanks for p in done.plans) == 1
    (note,) = done.notes
    assert note.startswith(f"One blank of {cap.run.part} is in no slitting plan: it is 10'-7 ")
    assert note.endswith("more than the longest stock length: take longer stock.")


def test_a_blank_longer_than_its_run_was_cut_to_has_its_own_length() -> None:
    made = shop(SHED)
    blank = next(b for b in made.blanks if b.cut_length < 121.0 * IN)
    high = float(blank.outline[:, 1].max())
    longer = replace(blank, outline=blank.outline * (1.0, (high + 2.0 * IN) / high))
    (cut,) = plan((longer,), 48.0).cuts
    assert cut.strips[0].lengths[0] >= high + 2.0 * IN - 1e-6
    # nor has it what its run was counted longer, to be trimmed on the roof
    (cut,) = plan((replace(blank, cut_length=high + 4.0 * IN),), 48.0).cuts
    assert high <= cut.strips[0].lengths[0] + 1e-6 < high + IN / 8


def test_without_coils_or_blanks() -> None:
    made = shop(HIP)
    for widths in ([], [0.0], [math.nan], [math.inf]):
        with pytest.raises(DocumentError, match="at least one coil width"):
            slitting_of(made.blanks, widths, FEET)
    nothing = slitting_of((), [1000.0], FEET)
    assert (nothing.plans, nothing.notes) == ((), ())
    assert (nothing.area, nothing.waste) == (0.0, 0.0)


def test_systems_of_one_metal_are_planned_together() -> None:
    ribbed, seam = shop(HIP), shop(HIP, system=SYSTEMS["standing_seam"])
    plans = slitting_of((*ribbed.blanks, *seam.blanks), [48 * IN], Units("metric")).plans
    (only,) = plans
    assert only.systems == ("ribbed_panel", "standing_seam")
    assert only.metal == ribbed.blanks[0].profile.metal
    assert only.blanks == len(ribbed.blanks) + len(seam.blanks)
    # together they take no more than apart
    apart = [plan(m.blanks, 48.0).area for m in (ribbed, seam)]
    assert only.area <= sum(apart) + 1e-6
    # thicker metal is planned apart
    metal = msgspec.structs.replace(only.metal, gauge="22 ga", thickness=0.85)
    thick = tuple(
        replace(b, profile=msgspec.structs.replace(b.profile, metal=metal)) for b in seam.blanks
    )
    plans = slitting_of((*ribbed.blanks, *thick), [48 * IN], Units("metric")).plans
    assert [(p.systems, p.metal.gauge) for p in plans] == [
        (("ribbed_panel",), "24 ga"),
        (("standing_seam",), "22 ga"),
    ]


def test_a_strip_is_never_shorter_than_its_blank_and_a_missing_hair_is_said() -> None:
    # whole lengths in a metric job are 3200.4 mm, no whole number of mm
    made = shop(MAIN, WING)
    metric = slitting_of(made.blanks, [1219.2], Units("metric")).plans[0]
    wholes = 0
    for c in metric.cuts:
        for s in c.strips:
            assert s.offcut == 0.0 or s.offcut > 0.5
            for b, length in zip(s.blanks, s.lengths, strict=True):
                assert length > float(b.outline[:, 1].max()) - 0.4
                wholes += length == pytest.approx(3200.4)
    assert wholes > 3
    cap = next(b for b in made.blanks if b.cut_length == pytest.approx(126.0 * IN))
    high = float(cap.outline[:, 1].max())
    longer = replace(cap, outline=cap.outline * (1.0, (126.0 * IN + 0.86) / high))
    for units, size in ((FEET, "0.03 in"), (Units("metric"), "0.9 mm")):
        done = slitting_of([longer], [48.0 * IN], units)
        assert sum(p.blanks for p in done.plans) == 1
        (note,) = done.notes
        assert note == (
            f"One blank of {cap.run.part} is up to {size} longer than the longest stock length:"
            " that much is missing at the farthest corners."
        )


def test_small_plans_of_two_stocks_are_proved() -> None:
    # by trying every pattern: none is left open where there are few
    chance = random.Random(1)
    for _ in range(40):
        stocks = sorted(chance.sample(range(150, 500), 2))
        pieces = [chance.choice([22, 49, 83, 108, 187]) for _ in range(chance.randint(3, 7))]
        pieces = [p for p in pieces if p <= stocks[1]]
        found, is_best = _least_metal(Counter(pieces), stocks[::-1])
        assert is_best
        assert found.metal == _least_by_trying(sorted(pieces, reverse=True), stocks)


def _least_by_trying(pieces: list[int], stocks: list[int]) -> int:
    """The least metal over all ways to share pieces out."""
    best = [sum(stocks[1] for _ in pieces)]

    def go(k: int, bins: list[int]) -> None:
        metal = sum(next(s for s in stocks if s >= b) for b in bins)
        if metal > best[0]:
            return
        if k == len(pieces):
            best[0] = metal
            return
        for n in range(len(bins)):
            if bins[n] + pieces[k] <= stocks[1] and bins[n] not in bins[:n]:
                go(k + 1, [*bins[:n], bins[n] + pieces[k], *bins[n + 1 :]])
        go(k + 1, [*bins, pieces[k]])

    go(0, [])
    return best[0]


def test_of_several_stocks_the_length_is_least_not_the_number_of_strips() -> None:
    # six blanks of 30 in from stock of 60 and 100 in: three strips of 60 take 180, two of 100 200
    made = shop(SHED)
    drip = next(b for b in made.blanks if b.run.part == "eave drip edge")
    high = float(drip.outline[:, 1].max())
    short = replace(
        changed(drip, stocks=(60.0 * IN, 100.0 * IN)),
        outline=drip.outline * (1.0, 30.0 * IN / high),
    )
    done = plan((short,) * 6, 6.25)
    assert [round(c.length / IN) for c in done.cuts] == [60, 60, 60]
    assert (done.along, done.across) == ("best", "best")
