"""Packs are rounded up once for what is bought as one, whichever system it is for."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import Units
from roofmodel.systems.fixing import Pack
from roofmodel.takeoff.goods import Use, goods_lines
from roofmodel.takeoff.types import Quantity
from tests.takeoff.printed_formula import check

BAG = Pack("bag", 250, 0.05, "vendor's page")


def lines(*uses: Use, units: Units | None = None) -> list[Quantity]:
    found = goods_lines(uses, units or Units())
    for line in found:
        check(line, units or Units())
    return found


def screws(pack: Pack, count: int) -> Use:
    return Use("trim screw", pack, (count,), "ridge cap", "common practice")


def test_another_source_of_the_same_pack_is_no_other_pack() -> None:
    # 270 × 1.05 = 283.5: two bags; each for itself would be two
    own = msgspec.structs.replace(BAG, source="maker's list")
    (line,) = lines(screws(BAG, 120), screws(own, 150))
    assert (line.quantity, line.packs) == (270, 2)
    assert line.source.endswith("pack: vendor's page; pack: maker's list")
    assert line.pack_how == "270 × 105 % ÷ 250 rounded up"
    # 238 × 1.05 = 249.9: one bag, not one each
    (line,) = lines(screws(BAG, 119), screws(own, 119))
    assert line.packs == 1


def test_each_use_has_its_own_spare() -> None:
    # 100 × 1.05 + 130 × 1.1 = 248
    own = msgspec.structs.replace(BAG, spare=0.1)
    (line,) = lines(screws(BAG, 100), screws(own, 130))
    assert line.packs == 1
    assert line.pack_how == "(100 × 105 % + 130 × 110 %) ÷ 250 rounded up"
    assert line.note == "packs with 5 % and 10 % spare"
    (line,) = lines(screws(BAG, 100), screws(own, 132))  # 250.2
    assert line.packs == 2


def test_other_sizes_and_names_are_bought_apart() -> None:
    big = msgspec.structs.replace(BAG, size=1000)
    box = msgspec.structs.replace(BAG, name="box")
    assert [q.packs for q in lines(screws(BAG, 120), screws(big, 120), screws(box, 120))] == [
        1
    ] * 3


@pytest.mark.parametrize("units", [Units(), Units("metric")], ids=["feet", "metric"])
def test_rolls_of_tape_by_length(units: Units) -> None:
    # 40 ft × 1.1 + 1 ft × 1 = 45 ft: one roll of 45; with another inch two
    roll = Pack("roll", 45 * 304.8, 0.10)
    plain = msgspec.structs.replace(roll, spare=0.0, source="vendor's page")

    def tape(pack: Pack, length: float) -> Use:
        return Use("butyl tape roll", pack, (1,), "laps", "common practice", length=length)

    (line,) = lines(tape(roll, 40 * 304.8), tape(plain, 304.8), units=units)
    assert line.packs == 1
    (line,) = lines(tape(roll, 40 * 304.8), tape(plain, 13 * 25.4), units=units)
    assert line.packs == 2
