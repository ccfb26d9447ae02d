"""Cut lists of paper-sized houses in both built-in systems, every panel worked by hand. Inches.

The slope factor of 6/12 is F = √1.25. On a plane with u along the eave and v up the slope, hips
and valleys at 45° in plan run at v = ±F·u; moving such a line by d square to itself moves it by
d·√(1 + F²) = 1.5·d along the slope.

Ribbed: coverage 36, sheet 37.5 wide; eave +1.5, ridge and hip −1, valley −7, no hems. A hip moves
by 1.5, a valley by 10.5 along the slope.
Seam: coverage and sheet 16; eave +0.75, ridge and hip −1.5, valley −5; hems of 1 at eave and
valley. A hip moves by 2.25, a valley by 7.5, its hem reaches 1.5 further down.

`upper` and `lower` are the ends of the metal with its hems at u; a panel is as long as from the
lowest to the highest place within its sheet, and those lie at its sides or where a line bends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec
import pytest

from roofmodel.document import Project
from roofmodel.results import results_of
from roofmodel.takeoff import Laying, cut_words
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, L_SHAPE, RECTANGLE, box, opening, project, section

IN = 25.4
F = math.sqrt(1.25)
RIBBED, SEAM = built_in_systems()
Line = Callable[[float], float]

SHED = project(section(box(0, 0, 20, 10), (0.25, GABLE, GABLE, GABLE)))
GABLED = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)))
HIPPED = project(section(RECTANGLE, [0.5] * 4))
ELL = project(section(L_SHAPE, [0.5] * 6))
CHIMNEY = project(
    section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), opening(((16, 4), (20, 4), (20, 7), (16, 7)))
)


def laid(house: Project, seam: bool) -> dict[str, Laying]:
    house = msgspec.structs.replace(house, system=SEAM if seam else RIBBED)
    return {x.plane_name: x for x in results_of(house).take_off.layings}


def lengths(laying: Laying) -> list[float]:
    return [p.length / IN for p in laying.panels]


def worked(
    seam: bool, left: float, right: float, upper: Line, lower: Line, bends: Sequence[float]
) -> list[float]:
    """Panel lengths from `left` to `right`, first side of a panel on `left`."""
    cover, sheet = (16.0, 16.0) if seam else (36.0, 37.5)
    count = math.ceil((right - left - (sheet - cover)) / cover - 1e-9)
    out = []
    for k in range(count):
        a, b = left + k * cover, min(left + k * cover + sheet, right)
        places = [a, b, *(u for u in bends if a < u < b)]
        out.append(max(map(upper, places)) - min(map(lower, places)))
    return out


@pytest.mark.parametrize("seam", [False, True])
def test_shed(seam: bool) -> None:
    # 20 ft wide, 10 ft deep at 3/12: 120·√(1 + 1/16) = 123.6932 along the slope.
    # ribbed: + 1.5 at both eaves = 126.6932; 240 ÷ 36 = 6.67: 7 panels, the last shows 24.
    # seam: + 0.75 + 0.75 + 1 hem = 126.1932; 240 ÷ 16 = 15 panels.
    (south,) = laid(SHED, seam).values()
    slope = 120 * math.sqrt(1 + 1 / 16)
    expected = [slope + 2.5] * 15 if seam else [slope + 3.0] * 7
    assert lengths(south) == pytest.approx(expected, rel=1e-9)
    assert south.last_width / IN == pytest.approx(16.0 if seam else 24.0)
    assert {cut_words(c) for p in south.panels for c in (p.lower, p.upper)} == {"square"}


@pytest.mark.parametrize("seam", [False, True])
def test_gable(seam: bool) -> None:
    # 144·F = 160.9969. ribbed: + 1.5 − 1 = 161.4969, 480 ÷ 36 = 13.3: 14 a side, the last shows
    # 12. seam: + 0.75 + 1 − 1.5 = 161.2469, 480 ÷ 16 = 30 a side.
    planes = laid(GABLED, seam)
    assert list(planes) == ["South 1", "North 1"]
    for side in planes.values():
        expected = [144 * F + 0.25] * 30 if seam else [144 * F + 0.5] * 14
        assert lengths(side) == pytest.approx(expected, rel=1e-9)
        assert side.last_width / IN == pytest.approx(16.0 if seam else 12.0)


@pytest.mark.parametrize("seam", [False, True])
def test_hip(seam: bool) -> None:
    # Ribbed: the hips are v = F·u − 1.5 and F·(W − u) − 1.5, the eave v = −1.5: they meet at
    # u = 0 and W. Seam: v = F·u − 2.25 meets v = −0.75 at u = 1.5/F = 1.3416, and the same at
    # the other end; cut from v = −1.75. Ridge at 144·F − 1 or − 1.5.
    planes = laid(HIPPED, seam)
    assert list(planes) == ["South 1", "East 1", "North 1", "West 1"]
    for name, side in planes.items():
        wide = 480.0 if name in ("South 1", "North 1") else 288.0
        moved, edge, eave = (2.25, 1.5 / F, 1.75) if seam else (1.5, 0.0, 1.5)
        ridge = 144 * F - (1.5 if seam else 1.0)

        def upper(u: float, w: float = wide, m: float = moved, r: float = ridge) -> float:
            return min(F * u - m, r, F * (w - u) - m)

        def lower(u: float, e: float = eave) -> float:
            return -e

        bends = [wide / 2, (ridge + moved) / F, wide - (ridge + moved) / F]
        expected = worked(seam, edge, wide - edge, upper, lower, bends)
        assert len(expected) == {(480, False): 14, (288, False): 8, (480, True): 30}.get(
            (int(wide), seam), 18
        )
        assert lengths(side) == pytest.approx(expected, rel=1e-9)
    # some of them as numbers: ribbed 37.5·F, 73.5·F; the last of 12·F. Seam 16·F + 1, 32·F + 1
    south = lengths(planes["South 1"])
    first = [17.8885 + 1, 35.7771 + 1] if seam else [41.9263, 82.1755]
    assert south[:2] == pytest.approx(first, abs=1e-4)
    assert south[-1] == pytest.approx(13.3167 * F + 1 if seam else 13.4164, abs=1e-4)
    words = [cut_words(p.upper) for p in planes["South 1"].panels]
    assert words[0] == "48.2° up to the right"
    assert words[-1] == "48.2° up to the left"


@pytest.mark.parametrize("seam", [False, True])
def test_ell(seam: bool) -> None:
    # South 1, East 1: as on the hip house. u from the left end of each eave, looking up:
    # North 1 (eave 288 = 24 ft): hip at the left, ridge, broken hip down to u = 384 where it
    #   meets the valley v = F·(u − 288); the broken hip is v = F·(480 − u).
    # East 2 (eave 192): valley v = −F·u at the left, ridge at 96·F, hip v = F·(192 − u).
    # North 2 (eave 192): two hips. West 1 (eave 480): hip, ridge at 96·F from u = 96 to 288,
    #   broken hip up v = F·(u − 192) to u = 336, hip down.
    planes = laid(ELL, seam)
    assert list(planes) == ["South 1", "East 1", "North 1", "East 2", "North 2", "West 1"]
    hip, edge, eave, back = (2.25, 1.5 / F, 0.75, 1.5) if seam else (1.5, 0.0, 1.5, 1.0)
    valley, hem, deep = (7.5, 1.0, 1.5) if seam else (10.5, 0.0, 0.0)
    high, low = 144 * F - back, 96 * F - back
    # where the hip comes up to the ridges, from its own end
    to_high, to_low = (high + hip) / F, (low + hip) / F

    def in_valley(u: float) -> float:
        """The valley beside an eave that ends at u = 0, going up to the right, with its hem."""
        return max(-eave - hem, F * u + valley - deep)

    foot = (-eave - hem - valley + deep) / F
    # the valley's metal, without the hem, meets the broken hip: F·(u − 288) + valley =
    # F·(480 − u) − hip, so u = 384 − (valley + hip)/(2F)
    tip = 384 - (valley + hip) / (2 * F)
    expected = {
        "South 1": worked(
            seam,
            edge,
            480 - edge,
            lambda u: min(F * u - hip, high, F * (480 - u) - hip),
            lambda u: -eave - hem,
            [to_high, 480 - to_high],
        ),
        "East 1": worked(
            seam,
            edge,
            288 - edge,
            lambda u: min(F * u - hip, F * (288 - u) - hip),
            lambda u: -eave - hem,
            [144],
        ),
        "North 1": worked(
            seam,
            edge,
            tip,
            lambda u: min(F * u - hip, high, F * (480 - u) - hip),
            lambda u: in_valley(u - 288),
            [to_high, 480 - to_high, 288 + foot],
        ),
        "East 2": worked(
            seam,
            -(low - valley) / F,
            192 - edge,
            lambda u: min(low, F * (192 - u) - hip),
            lambda u: in_valley(-u),
            [-foot, 192 - to_low],
        ),
        "North 2": worked(
            seam,
            edge,
            192 - edge,
            lambda u: min(F * u - hip, F * (192 - u) - hip),
            lambda u: -eave - hem,
            [96],
        ),
        "West 1": worked(
            seam,
            edge,
            480 - edge,
            lambda u: min(F * u - hip, max(low, F * (u - 192) - hip), F * (480 - u) - hip),
            lambda u: -eave - hem,
            [to_low, 192 + to_low, 336],
        ),
    }
    for name, side in planes.items():
        assert lengths(side) == pytest.approx(expected[name], rel=1e-8), name
    # the ones in the valley are cut below, to the same angle as at the hips
    cuts = [(cut_words(p.lower), cut_words(p.upper)) for p in planes["North 1"].panels]
    assert cuts[0] == ("square", "48.2° up to the right")
    assert cuts[-1][0] == "48.2° up to the right"


@pytest.mark.parametrize("seam", [False, True])
def test_gable_with_a_chimney(seam: bool) -> None:
    # 4 ft wide from u = 192 to 240, from 48 to 84 in up in plan: v = 48·F to 84·F. No ribbed
    # strip (180 to 217.5, 216 to 253.5) lies within it: 14 whole panels. Of the seams' strips
    # 192 to 208, 208 to 224 and 224 to 240 do: below 48·F − 1 + 0.75 + 1 = 54.4156, above
    # 144·F − 1.5 − 84·F − 3 = 62.5820.
    planes = laid(CHIMNEY, seam)
    whole = 144 * F + (0.25 if seam else 0.5)
    expected = [whole] * 14
    if seam:
        expected = [whole] * 12 + [48 * F + 0.75, 60 * F - 4.5] * 3 + [whole] * 15
    assert lengths(planes["South 1"]) == pytest.approx(expected, rel=1e-9)
    assert lengths(planes["North 1"]) == pytest.approx([whole] * (30 if seam else 14), rel=1e-9)
    strips = [p.strip for p in planes["South 1"].panels]
    assert strips[-1] == (30 if seam else 14)
    # ribbed: the field loses the chimney and what is held back: 48 × (36·F + 4)
    plain = planes["North 1"].field_area - planes["South 1"].field_area
    assert plain / IN**2 == pytest.approx(48 * (36 * F + 4), rel=1e-9)
