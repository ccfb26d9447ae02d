"""Transitions in their systems: what is bent there, and what the estimator is told."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import Step
from roofmodel.results import results_of
from roofmodel.sheets.layout_words import shift_words
from roofmodel.shop.job import ShopJob
from roofmodel.shop.sections import trim_findings
from roofmodel.systems import EdgeKind
from roofmodel_io.shop_package import write_shop_package
from tests.houses import GABLE, RECTANGLE, section
from tests.io.reading_pdf import read_pages
from tests.io.test_shop_package import no_picture
from tests.shop.shops import SYSTEMS, Shop, shop
from tests.takeoff.test_trim_sides import with_profile

FT, IN = 304.8, 25.4
SEAM, RIBBED = SYSTEMS["standing_seam"], SYSTEMS["ribbed_panel"]


def changed(low: float, high: float, system: object) -> Shop:
    """A gable roof that changes its pitch (rise in 12) 2 ft inside its eaves."""
    steps = Step(0.0, low / 12), Step(2 * FT, high / 12)
    plain = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    return shop(with_profile(plain, steps), system=system)  # type: ignore[arg-type]


def trims(made: Shop) -> list[str]:
    return [w for w in made.results.take_off.warnings if "trim" in w]


@pytest.mark.parametrize(("system", "height"), [(SEAM, 1.5), (RIBBED, 0.75)])
@pytest.mark.parametrize(("low", "high"), [(6, 3), (3, 6), (3, 8), (6, 4), (24, 5)])
def test_legs_reach_past_the_line_at_every_fold(
    low: float, high: float, system: object, height: float
) -> None:
    made = changed(low, high, system)
    bent = [b for b in made.blanks if b.run.part.endswith("transition trim")]
    assert bent
    fold = abs(math.atan(low / 12) - math.atan(high / 12))
    # bent down, the deck's leg is 6 in and height ÷ sin; bent up, the other is 6 in and ÷ tan
    more = height / math.sin(fold) if low > high else height / math.tan(fold)
    for b in bent:
        assert sum(b.profile.lengths_at(b.fold)) / IN == pytest.approx(12 + more, abs=1e-6)
        assert "its bend lies" in b.remark
        assert ("up the slope from the line" in b.remark) == (low < high)
    assert trims(made) == []


@pytest.mark.parametrize(("system", "height"), [(SEAM, 1.5), (RIBBED, 0.75)])
def test_panels_stop_short_of_a_bend_above_the_line(system: object, height: float) -> None:
    # 3/12 below 8/12: trim is bent height ÷ sin 19.6538° up the slope from the line, and panels
    # on the upper plane end there; those of the lower plane, and where it bends down, at the line
    above = height / math.sin(math.radians(19.653824))
    for low, high, held in ((3, 8, above), (8, 3, 0.0)):
        made = changed(low, high, system)
        bare = msgspec.structs.replace(made.project, parts=())
        slopes = {p.id: p.slope for p in made.results.surface.planes}
        lengths, as_before = (
            {(p.plane, p.number): p.length / IN for p in results.take_off.panels}
            for results in (made.results, results_of(bare))
        )
        assert lengths.keys() == as_before.keys()
        for (plane, number), length in lengths.items():
            less = held if slopes[plane] == pytest.approx(high / 12) else 0.0
            assert as_before[plane, number] - length == pytest.approx(less, abs=1e-4)


@pytest.mark.parametrize(("low", "high", "angle"), [(4, 3, "4.4"), (3, 4, "4.4"), (6, 5, "3.9")])
def test_a_fold_too_small_is_a_remark_and_no_metal(low: float, high: float, angle: str) -> None:
    # 3/12 and 4/12: 18.4349 − 14.0362; a seam's closures would put the bend 19.6 in from the line
    made = changed(low, high, SEAM)
    assert not [b for b in made.blanks if "transition trim" in b.run.part]
    assert [b for b in made.blanks if "ridge cap" in b.run.part]
    assert made.made.remarks == ()  # the rest can be made, and handed over
    assert made.made.left_out == tuple(
        f"No blank of seam transition trim on Pitch transition {k}: the roof bends by {angle}°"
        " only; carry the panels over the line in one length, or take the panel maker's detail."
        for k in (1, 2)
    )
    warned = trims(made)
    assert [w.partition(":")[0] for w in warned] == ["Pitch transition 1", "Pitch transition 2"]
    assert all(f"bends by {angle}° only: carry the panels over the line" in w for w in warned)
    assert not trim_findings(made.project, made.results.surface, made.results.take_off).faults


def test_the_package_of_such_a_roof_is_written_and_says_it(tmp_path: Path) -> None:
    made = changed(4, 3, SEAM)
    done = write_shop_package(tmp_path / "package", made.results, no_picture)
    assert [s for s in done.slit if s.startswith("No blank of seam transition trim")]
    pages = read_pages((tmp_path / "package" / "shop_and_crew_booklet.pdf").read_bytes())
    words = [" ".join(p.words) for p in pages]
    for title in ("Blanks of trim", "Slitting plan of trim"):
        assert any(w.startswith(title) and "on Pitch transition 2: the roof bends" in w
                   for w in words)  # fmt: skip
    (listed,) = [w for w in words if w.startswith("Trim list") and "Pitch transition 1" in w]
    assert "seam transition trim: no blank is made" in listed


@pytest.mark.parametrize(("rise", "made_there"), [(3, True), (1, False)])
def test_a_deck_edge(rise: float, made_there: bool) -> None:
    # 3/12 below a deck: 14.04 degrees, 1/12: 4.76, where 1.5 in would lie 18 in past the edge
    house = msgspec.structs.replace(section(RECTANGLE, [rise / 12] * 4), deck_height=1 * FT / 2)
    made = shop(house, system=SEAM)
    some = [b for b in made.blanks if b.run.part == "seam deck edge trim"]
    assert bool(some) == made_there
    assert len(trims(made)) == (0 if made_there else 4)
    assert [t for t in made.results.take_off.trim if t.kind is EdgeKind.DECK_EDGE]
    for b in some:
        assert b.profile.lengths_at(b.fold)[0] / IN == pytest.approx(4 + 6.18466, abs=1e-5)


def test_the_layout_says_how_far_the_panels_stop_short() -> None:
    # 1.5 ÷ sin 19.6538° = 4.46 in, to the eighth 4 1/2; on the lower plane they end at the line
    made = changed(3, 8, SEAM)
    job = ShopJob(made.project, made.results.surface, made.results.take_off)
    said = {s.plane.name: " ".join(shift_words(s, made.project.units)) for s in job.sheets}
    for plane in made.results.surface.planes:
        words = said[plane.name]
        is_upper = plane.slope > 0.5
        assert ("stops 0'-4 1/2\" short of the pitch transition" in words) == is_upper
        assert ("ends at the pitch transition" in words) != is_upper
