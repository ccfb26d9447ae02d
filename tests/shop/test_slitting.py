"""Blanks slit from coil: every blank once, nothing over the edge, and small plans by hand."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import pytest

from roofmodel.document import Section, Units
from roofmodel.errors import DocumentError
from roofmodel.shop import Blank, SlitPlan, slit_plans
from tests.houses import GABLE, box, section
from tests.shop.shops import HIP, L_HOUSE, MAIN, SYSTEMS, WING, shop

IN = 25.4
FEET = Units("feet", 8)
SHED = section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE))


def plan(blanks: tuple[Blank, ...], *widths: float, kerf: float = 0.0) -> SlitPlan:
    (only,) = slit_plans(blanks, [w * IN for w in widths], FEET, kerf=kerf * IN)
    return only


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
            used = sum(math.ceil(b.cut_length / IN * 8 - 1e-6) / 8 * IN for b in s.blanks)
            assert used + s.offcut == pytest.approx(c.length)
            assert s.offcut >= 0.0
            for b in s.blanks:
                assert b.girth <= s.girth + 1e-9 <= b.girth + IN / 8 + 1e-6
                assert c.length in b.run.stocks
    assert 0.0 < done.waste < 1.0
    assert done.area == pytest.approx(done.coil_length(48 * IN) * 48 * IN)
    assert (done.along, done.across) == ("best", "best")


def test_a_shed_by_hand() -> None:
    # 20 by 10 ft, 3/12, ribbed panel, stock 126 in: eave 240 and 2 at both ends: 126 and 120;
    # high eave and rakes alike: two pieces of the first, one rake each. Nothing shares a length,
    # so strips: 2 eave drips, 2 high-eave caps, 2 rake trims. Girths, up to 1/8, are outside
    # lengths and hems less deductions, 0.1177·tan(A/2) − 0.043394·A, 0.0088 of them at the kick:
    # drip, 75.9638°: 5.75 + 0.375 − 0.0344 − 0.0088 = 6.0818 → 6 1/8; cap, 104.0362°: 10.75 +
    # 0.875 − 0.0720 − 0.0088 = 11.5442 → 11 5/8; rake, 90°: 8.75 + 0.875 − 0.0495 − 0.0088 =
    # 9.5667 → 9 5/8.
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
    shorts = [b.cut_length / IN for b in rakes if b.cut_length < 126 * IN]
    done = plan(rakes, 48.0)
    strips = [s for c in done.cuts for s in c.strips]
    fit = math.floor(126.0 / shorts[0])
    assert len(set(shorts)) == 1
    assert len(strips) == len(rakes) - len(shorts) + math.ceil(len(shorts) / fit)
    with_kerf = plan(rakes, 48.0, kerf=60.0)
    assert len([s for c in with_kerf.cuts for s in c.strips]) >= len(strips)


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


def test_what_cannot_be_slit() -> None:
    made = shop(HIP)
    with pytest.raises(DocumentError, match="wide, the widest coil 1'-0\": choose a wider coil"):
        plan(made.blanks, 12.0)
    for widths in ([], [0.0], [math.nan], [math.inf]):
        with pytest.raises(DocumentError, match="at least one coil width"):
            slit_plans(made.blanks, widths, FEET)
    assert slit_plans((), [1000.0], FEET) == ()


def test_each_system_and_metal_is_planned_apart() -> None:
    ribbed, seam = shop(HIP), shop(HIP, system=SYSTEMS["standing_seam"])
    plans = slit_plans((*ribbed.blanks, *seam.blanks), [48 * IN], Units("metric"))
    assert [p.system for p in plans] == ["ribbed_panel", "standing_seam"]
    assert all(p.metal == ribbed.blanks[0].profile.metal for p in plans)
