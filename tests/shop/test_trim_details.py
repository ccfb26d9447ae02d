"""What a brake operator needs of a blank beyond its outline's area: corners that are corners, laps
that stay under the mitre, upstands that turn around openings, and words that keep pieces apart."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from roofmodel.sheets.trim_words import end_words
from roofmodel.shop import alike
from tests.houses import box, opening, section
from tests.shop.assembly import end_line
from tests.shop.shops import HIP, L_HOUSE, MAIN, SYSTEMS, WING, shop

IN = 25.4


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_corner_of_an_outline_is_one(system: str) -> None:
    some = opening(box(4, 3, 6, 5))
    for house in ((HIP,), (L_HOUSE,), (MAIN, WING, some)):
        for b in shop(*house, system=SYSTEMS[system]).blanks:
            before, after = np.roll(b.outline, 1, axis=0), np.roll(b.outline, -1, axis=0)
            for p, q, r in zip(before, b.outline, after, strict=True):
                assert shapely.LineString([p, r]).distance(shapely.Point(q)) > 1e-6
            if {b.start.kind, b.end.kind} <= {"square", "lap"} and not b.remark:
                assert len(b.outline) == 4  # two at each end, and none between


def test_a_lap_does_not_stick_out_past_the_mitre_above_it() -> None:
    # 30 ft by 172 in, 6/12: hips of 172 / 2 · 1.5 = 129, and 2 at the foot and 4 at the top were
    # counted: 135 − 122 leaves 13. Fitted, the top ends at the node, 9 long; the mitre takes 6 ·
    # tan 48.19° = 6.71 off its one border, so that of the 4 that it laps 1.71 would stick out.
    made = shop(section(box(0, 0, 30, 172 / 12), [0.5] * 4))
    seen = 0
    for name in ("Hip 1", "Hip 2", "Hip 3", "Hip 4"):
        pieces = made.on("hip cap", name)
        assert len(pieces) == 2
        top = next(b for b in pieces if "mitre" in (b.start.kind, b.end.kind))
        below = next(b for b in pieces if b is not top)
        assert sorted(round(b.length / IN, 3) for b in pieces) == [9.0, 126.0]
        assert "its own lap is cut along it" in below.remark
        cut = next(e for e in (below.start, below.end) if e.kind == "cut lap")
        words = end_words(cut, made.project.units)
        assert words == "lap 0'-4\", cut along the end of the piece over it"
        if top.end.kind != "mitre":
            continue  # its line comes down from the ridge: the same turned around
        seen += 1
        own, whole = (end_line(b) + np.array([0.0, b.begins]) for b in (below, top))
        x = np.linspace(0.0, below.girth, 400)
        mine, mitre = (np.interp(x, e[:, 0], e[:, 1]) for e in (own, whole))
        assert (mine - mitre).max() < 1e-6
        square = below.begins + float(below.outline[:, 1].max())
        low = float((square - mitre).max()) / IN
        assert low == pytest.approx(4.0 - 9.0 + 6.71, abs=0.05)
        assert mine == pytest.approx(np.minimum(square, mitre), abs=1e-6)
    assert seen
    # where the top is longer than its mitre nothing is cut
    assert not any("its own lap" in b.remark for b in shop(HIP).blanks)


def test_flashings_turn_around_the_corners_of_an_opening() -> None:
    # 6/12. The apron: 6 on the roof with a 1/2 hem, 4 up. Past the corner the leg on the roof runs
    # on for 4; the upstand's tab turns around it, its foot cut up the slope: 4 · 6/12 = 2.
    made = shop(MAIN, opening(box(18, 4, 21, 6)))
    (apron,) = [b for b in made.blanks if b.run.part == "apron flashing"]
    (pan,) = [b for b in made.blanks if b.run.part == "back pan"]
    for blank, past, rise in ((apron, 4.0, 2.0), (pan, 6.0, 0.0)):
        (bend,) = [b for b in blank.bends if b.angle < 180.0 and b.start[0] == b.end[0]]
        metal = blank.profile.metal
        half = math.radians(bend.angle) * (metal.inside_radius + 0.44 * metal.thickness) / 2.0
        roof, foot = bend.start[0] - half, bend.start[0] + half
        girth, long = blank.girth, (36.0 + 2.0 * past) * IN
        corner, far = past * IN, foot + rise * IN
        wanted = [
            (0, 0), (roof, 0), (roof, corner), (foot, corner), (far, 0), (girth, 0),
            (girth, long), (far, long), (foot, long - corner), (roof, long - corner),
            (roof, long), (0, long),
        ]  # fmt: skip
        assert blank.outline == pytest.approx(np.array(wanted), abs=1e-6)
        assert (blank.start.kind, blank.end.kind) == ("turned around the corner",) * 2
        # the long bend ends at the corners of the opening; two more lie across the upstand there
        assert [bend.start[1], bend.end[1]] == pytest.approx([corner, long - corner], abs=1e-6)
        tabs = [b for b in blank.bends if b.start[0] != b.end[0]]
        assert [(t.angle, t.direction) for t in tabs] == [(90.0, "down")] * 2
        assert [t.between for t in tabs] == [("up the opening", "tab around the corner")] * 2
        for tab, y in zip(tabs, (corner, long - corner), strict=True):
            assert (*tab.start, *tab.end) == pytest.approx((foot, y, girth, y), abs=1e-6)
    # beside the opening the corner stands aslant to the blank: that is said
    sides = [b for b in made.blanks if b.run.part == "side flashing"]
    assert len(sides) == 2
    assert all("notch the upstand there" in b.remark for b in sides)


def test_on_a_steep_roof_the_tab_ends_in_a_point() -> None:
    # 24/12: the apron's tab rises 2 for each of its 4, but is only 4 high
    steep = section(box(0, 0, 40, 24), (2.0, math.inf, 2.0, math.inf))
    made = shop(steep, opening(box(18, 4, 21, 6)))
    (apron,) = [b for b in made.blanks if b.run.part == "apron flashing"]
    assert shapely.Polygon(apron.outline).is_valid
    assert len(apron.outline) == 10
    at_border = sorted(apron.outline[apron.outline[:, 0] > apron.girth - 1e-9, 1])
    assert at_border[0] / IN == pytest.approx(2.0, abs=0.05)  # less the bend's setback, halved


def test_pieces_that_need_other_work_are_not_alike() -> None:
    blanks = shop(HIP).on("hip cap", "Hip 1")[:1]
    (one,) = blanks
    assert len(alike([one, replace(one, number=9)])) == 1
    assert len(alike([one, replace(one, remark="notch its leg")])) == 2
