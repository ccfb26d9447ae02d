"""Sections put together from the parts of two systems."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.systems import Bend, Hem, Leg, SheetMetal, TrimProfile
from roofmodel.systems.joining import joined, joined_name

IN = 25.4


def cap(name: str, length: float, hem: Hem, **more: object) -> TrimProfile:
    """A cap with equal sides (in) and hems."""
    legs = (Leg("one side", length * IN, "first plane"), Leg("other", length * IN, "second plane"))
    plain = TrimProfile(name, legs, (Bend(0.0, 1.0),), hem, hem, (0.0, 100.0), source="a book")
    return msgspec.structs.replace(plain, **more)


CLOSED, OPEN = Hem("closed", 12.7), Hem("open", 12.7, 3.175)
LOW = cap("low cap", 6.0, CLOSED)
HIGH = cap("high cap", 7.0, OPEN, folds=(10.0, 120.0), source="another book")


def pan(name: str, diverter: float, side: float) -> TrimProfile:
    """A valley pan with a diverter between its sides, sizes in inches."""
    legs = (
        Leg("left", side * IN, "first plane"),
        Leg("up", diverter * IN),
        Leg("down", diverter * IN),
        Leg("right", side * IN, "second plane"),
    )
    bends = (Bend(60.0, 0.5), Bend(-120.0), Bend(60.0, 0.5))
    return TrimProfile(name, legs, bends, folds=(-100.0, 0.0), source="a book")


def test_each_side_is_as_its_own_part() -> None:
    both = joined(LOW, HIGH)
    assert both is not None
    assert both.name == joined_name("low cap", "high cap") == "half low cap and half high cap"
    assert [leg.name for leg in both.legs] == ["one side, as low cap", "other, as high cap"]
    assert [leg.length / IN for leg in both.legs] == pytest.approx([6.0, 7.0])
    assert [leg.on for leg in both.legs] == ["first plane", "second plane"]
    assert (both.start_hem, both.end_hem) == (CLOSED, OPEN)
    assert both.folds == (10.0, 100.0)  # what suits both
    assert both.source == "half as low cap, half as high cap: a book; another book"
    turned = joined(HIGH, LOW)
    assert turned is not None
    assert (turned.start_hem, turned.end_hem) == (OPEN, CLOSED)
    assert [leg.length / IN for leg in turned.legs] == pytest.approx([7.0, 6.0])


def test_the_middle_is_the_first_ones() -> None:
    hemmed = msgspec.structs.replace(pan("pan", 1.0, 10.0), start_hem=OPEN)
    both = joined(hemmed, pan("wide pan", 1.5, 12.0))
    assert both is not None
    names = [leg.name for leg in both.legs]
    assert names == ["left, as pan", "up", "down", "right, as wide pan"]
    assert [leg.length / IN for leg in both.legs] == pytest.approx([10.0, 1.0, 1.0, 12.0])
    assert "where they differ its middle as pan" in both.source
    alike = joined(pan("pan", 1.0, 10.0), pan("wide pan", 1.0, 12.0))
    assert alike is not None
    assert "differ" not in alike.source
    # a plain part and one with a diverter: what lies between the sides is still one part's own
    plain = cap("plain", 8.0, CLOSED, folds=(-90.0, 90.0))
    with_diverter, without = joined(pan("pan", 1.0, 10.0), plain), joined(plain, pan("p", 1, 10))
    assert with_diverter is not None
    assert without is not None
    assert len(with_diverter.legs) == 4
    assert [b.fixed for b in with_diverter.bends] == [60.0, -120.0, 60.0]
    assert len(without.legs) == 2


def test_a_border_without_a_hem_reaches_as_far_as_the_longer_one() -> None:
    # as under the upper panels of a transition: what it needs hangs on the lower side's height
    short = cap("short", 6.0, CLOSED, start_hem=None)
    long = cap("long", 8.0, OPEN, start_hem=None)
    for one, two, lengths in ((short, long, [8.0, 8.0]), (long, short, [8.0, 6.0])):
        both = joined(one, two)
        assert both is not None
        assert [leg.length / IN for leg in both.legs] == pytest.approx(lengths)
        assert (both.start_hem, both.end_hem) == (None, two.end_hem)
    # not where one of them has a hem there
    both = joined(short, HIGH)
    assert both is not None
    assert [leg.length / IN for leg in both.legs] == pytest.approx([6.0, 7.0])


def test_it_is_one_sheet_painted_on_one_side() -> None:
    thick = SheetMetal("22 ga", 0.85)
    other = msgspec.structs.replace(HIGH, metal=thick, painted="both sides", least_leg=10.0)
    both = joined(LOW, other)
    assert both is not None
    assert (both.metal, both.painted, both.least_leg) == (LOW.metal, LOW.painted, 10.0)
    assert "where they differ the sheet and the painted side as low cap" in both.source


def test_bends_of_one_side_stay_with_it() -> None:
    # a cap whose second side ends in a kick, and one whose first side is stepped
    kicked = TrimProfile(
        "kicked",
        (*LOW.legs, Leg("kick", 19.05)),
        (*LOW.bends, Bend(30.0)),
        folds=(0.0, 100.0),
    )
    stepped = TrimProfile(
        "stepped",
        (Leg("foot", 50.0, "first plane"), Leg("rise", 20.0), Leg("top", 60.0, "first plane"),
         Leg("side", 70.0, "second plane")),
        (Bend(90.0), Bend(-90.0), Bend(0.0, 1.0)),
        folds=(0.0, 60.0),
    )  # fmt: skip
    both = joined(stepped, kicked)
    assert both is not None
    assert [leg.name.partition(",")[0] for leg in both.legs] == [
        *("foot", "rise", "top", "other", "kick"),
    ]
    assert [(b.fixed, b.follows) for b in both.bends] == [
        *((90.0, 0.0), (-90.0, 0.0), (0.0, 1.0), (30.0, 0.0)),
    ]


@pytest.mark.parametrize(
    "other",
    [
        TrimProfile("cleat", (Leg("leg", 50.0, "first plane"),)),
        TrimProfile("closure", (Leg("foot", 50.0), Leg("web", 50.0)), (Bend(90.0),)),
        cap("steep cap", 6.0, CLOSED, folds=(110.0, 150.0)),
        # four thicknesses of the first one's sheet are more than this hem
        cap("fine cap", 6.0, Hem("closed", 9.6), metal=SheetMetal("30 ga", 0.4)),
    ],
    ids=lambda p: p.name,
)
def test_what_cannot_be_put_together(other: TrimProfile) -> None:
    first = msgspec.structs.replace(LOW, metal=SheetMetal("12 ga", 2.7))
    assert joined(first, other) is None
