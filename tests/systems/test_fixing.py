"""Fixing rules as data: what they refuse, and where values come from."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from roofmodel.errors import DocumentError
from roofmodel.systems import EdgeKind
from roofmodel.systems.fixing import (
    LENGTHS,
    PACKS,
    PRACTICE,
    ClipRows,
    EdgeZone,
    Fixing,
    Pack,
    ScrewRows,
    Sealant,
    Tape,
    TrimFixing,
)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: ScrewRows(field=0.0), "screws.field"),
        (lambda: ScrewRows(edge=float("nan")), "screws.edge"),
        (lambda: ScrewRows(stitch=1e6), "screws.stitch"),
        (lambda: ScrewRows(low_stitch=-1.0), "screws.low_stitch"),
        (lambda: ScrewRows(end_distance=-1.0), "screws.end_distance"),
        (lambda: ScrewRows(least_gap=-1.0), "screws.least_gap"),
        (lambda: ClipRows(least_gap=float("inf")), "clips.least_gap"),
        (lambda: ScrewRows(per_rib=0), "screws.per_rib"),
        (lambda: ScrewRows(ends_per_rib=0), "screws.ends_per_rib"),
        (lambda: ScrewRows(low_slope=-0.1), "screws.low_slope"),
        (lambda: ClipRows(field=1.0), "clips.field"),
        (lambda: ClipRows(edge=0.0), "clips.edge"),
        (lambda: ClipRows(screws=-1), "clips.screws"),
        (lambda: EdgeZone(width=-1.0), "width of the edge zone"),
        (lambda: TrimFixing(spacing=0.0), "trim: spacing"),
        (lambda: TrimFixing(rivets=-1), "trim: rivets"),
        (lambda: TrimFixing(tape=-1), "trim: tape"),
        (lambda: Tape(side_laps=-1), "tape.side_laps"),
        (lambda: Tape(edges={EdgeKind.HIP: -1}), "tape.edges.hip"),
        (lambda: Sealant(boot=-1.0), "sealant.boot"),
        (lambda: Pack("bag", 0), "must hold 1 or more"),
        (lambda: Pack("bag", 10, 2.0), "spare share"),
        (lambda: Pack(" ", 10), "needs a name"),
        (lambda: Fixing(packs={"nail": Pack("bag", 10)}), "no pack of 'nail'"),
        (lambda: Fixing(packs={"clip": Pack("bag", 10.5)}), "whole number"),
        (lambda: Fixing(boot_screws=-1), "boot_screws"),
    ],
)
def test_what_cannot_be(make: Callable[[], msgspec.Struct], words: str) -> None:
    with pytest.raises(DocumentError) as caught:
        make()
    sentence = str(caught.value)
    assert words in sentence
    assert sentence.endswith(".")
    assert "\n" not in sentence


def test_where_values_come_from() -> None:
    fixing = Fixing(sources={"screws.field": "a listing"})
    assert fixing.source_of("screws.field") == "a listing"
    assert fixing.source_of("screws.edge") == PRACTICE
    assert (
        fixing.source_of("screws.edge", "screws.field", "clips.edge") == f"{PRACTICE}; a listing"
    )


def test_packs_and_trim_have_usual_values() -> None:
    fixing = Fixing(packs={"clip": Pack("carton", 1000)}, trim={"ridge cap": TrimFixing(rivets=9)})
    assert fixing.pack_of("clip").size == 1000
    assert fixing.pack_of("rivet") == PACKS["rivet"]
    assert fixing.trim_of("ridge cap").rivets == 9
    assert fixing.trim_of("hip cap") == fixing.other_trim == TrimFixing()
    assert set(LENGTHS) < set(PACKS)


def test_a_fixing_travels_in_the_project() -> None:
    fixing = Fixing(tape=Tape(edges={EdgeKind.RIDGE: 2}), zone=EdgeZone(width=900.0))
    assert msgspec.convert(msgspec.to_builtins(fixing), Fixing) == fixing
