"""The goods of a job as tests compare them."""

from __future__ import annotations

from roofmodel.systems.fixing import PACKS
from roofmodel.takeoff import Quantity, TakeOff
from tests.houses import FT

GROUPS = ("Goods: fasteners", "Goods: sealing and closures", "Goods: ventilation")


def goods(taken: TakeOff) -> dict[str, tuple[float, int]]:
    """By key: how many, or how many feet, and how many packs."""
    out: dict[str, tuple[float, int]] = {}
    for q in goods_lines(taken):
        assert q.key not in out
        assert q.group in GROUPS
        amount = q.quantity / FT if q.unit == "mm" else q.quantity
        out[q.key] = (round(amount, 6), q.packs)
    return out


def goods_lines(taken: TakeOff) -> list[Quantity]:
    """The lines of what fastens, seals and closes."""
    return [q for q in taken.quantities if q.key in PACKS]


def on_planes(taken: TakeOff, what: str) -> dict[str, int]:
    """So many of something on each plane, by its name."""
    start = f"{what} on "
    return {
        q.item.removeprefix(start): int(q.quantity)
        for q in taken.quantities
        if q.group == "Fasteners of each plane" and q.item.startswith(start)
    }
