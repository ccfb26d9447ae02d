"""Goods that fasten, seal and close a roof: what it takes of each, and the packs to buy.

Every use is noted with its own term of the printed formula; the uses of one kind of goods are
added up over the job and only then rounded up, once, to whole packs.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from roofmodel.surface import EdgeId, PlaneId
from roofmodel.systems.fixing import LENGTHS, Pack
from roofmodel.takeoff.formula import fine_enough, labelled, length, rounded_up, size, sum_of
from roofmodel.takeoff.types import Quantity
from roofmodel.units import MM_PER_IN, LengthUnits

FASTENERS: Final = "Goods: fasteners"
SEALING: Final = "Goods: sealing and closures"
VENTILATION: Final = "Goods: ventilation"

_GOODS: Final[dict[str, tuple[str, str]]] = {
    "panel screw": (FASTENERS, "Panel screws"),
    "stitch screw": (FASTENERS, "Stitch screws at side laps"),
    "clip": (FASTENERS, "Clips"),
    "pancake screw": (FASTENERS, "Pancake screws"),
    "trim screw": (FASTENERS, "Trim screws"),
    "rivet": (FASTENERS, "Rivets"),
    "butyl tape roll": (SEALING, "Butyl tape"),
    "sealant tube": (SEALING, "Bead of sealant"),
    "inside closure": (SEALING, "Inside closures"),
    "outside closure": (SEALING, "Outside closures"),
    "pipe boot": (SEALING, "Pipe boots"),
    "vent strip roll": (VENTILATION, "Vent strip"),
}
"""Group and item of each, by key, in the order of the lines."""


@dataclass(frozen=True, slots=True)
class Use:
    """So much of some goods: the product of `factors`, and of `length` (mm) where it goes by
    length; `label` says for what. A length that is a `size` of a rule is printed as such."""

    key: str
    pack: Pack
    factors: tuple[int, ...]
    label: str
    source: str
    planes: tuple[PlaneId, ...] = ()
    edges: tuple[EdgeId, ...] = ()
    length: float = 1.0
    is_size: bool = False

    @property
    def amount(self) -> float:
        """Number, or mm."""
        return math.prod(self.factors) * self.length

    def term(self, units: LengthUnits, finer: int) -> str:
        """The term of the sum."""
        numbers = [str(f) for f in self.factors if f != 1]
        if self.key in LENGTHS:
            is_size = self.is_size
            numbers.append(
                size(self.length, units) if is_size else length(self.length, units, finer)[0]
            )
        return labelled(" × ".join(numbers or ["1"]), self.label)


def goods_lines(uses: Iterable[Use], units: LengthUnits) -> list[Quantity]:
    """One line per kind of goods and pack."""
    grouped: dict[tuple[str, Pack], list[Use]] = defaultdict(list)
    for use in uses:
        if use.amount > 0.0:
            grouped[use.key, use.pack].append(use)
    order = sorted(grouped, key=lambda key: list(_GOODS).index(key[0]))
    return [_line(key, pack, grouped[key, pack], units) for key, pack in order]


def _line(key: str, pack: Pack, uses: list[Use], units: LengthUnits) -> Quantity:
    by_length = key in LENGTHS
    total = math.fsum(u.amount for u in uses)
    if not by_length:
        total = float(round(total))
    finer = _fineness(uses, total, units) if by_length else 0
    group, item = _GOODS[key]
    unit: Literal["mm", "count"] = "mm" if by_length else "count"
    packs, pack_how = _packs(total, pack, by_length, units)
    how = sum_of(u.term(units, finer) for u in uses)
    source = "; ".join(dict.fromkeys([*(u.source for u in uses), f"pack: {pack.source}"]))
    spare = f"{pack.spare * 100:g} % spare" if pack.spare else ""
    return Quantity(
        *(group, item, unit, total, how, source),
        tuple(dict.fromkeys(p for u in uses for p in u.planes)),
        tuple(dict.fromkeys(e for u in uses for e in u.edges)),
        note=f"packs with {spare}" if spare else "",
        key=key,
        packs=packs,
        pack=_pack_words(pack, by_length, units),
        pack_how=pack_how,
    )


def _fineness(uses: list[Use], total: float, units: LengthUnits) -> int:
    """How much finer lengths are printed, so that their rounding stays well below the sum."""
    step = MM_PER_IN / units.fraction if units.system == "feet" else 1.0
    rounded = sum(math.prod(u.factors) for u in uses if not u.is_size)
    return 1 if step * rounded > 0.009 * total else 0


def _packs(total: float, pack: Pack, by_length: bool, units: LengthUnits) -> tuple[int, str]:
    """How many packs, and the formula of it."""
    with_spare = 1.0 + pack.spare
    packs = rounded_up(total * with_spare / pack.size)
    spare = f" × {100.0 * with_spare:g} %" if pack.spare else ""
    if by_length:

        def written(finer: int) -> tuple[str, float]:
            text, value = length(total, units, finer)
            how = f"{text}{spare} ÷ {size(pack.size, units)} rounded up"
            return how, rounded_up(value * with_spare / pack.size)

        return packs, fine_enough(written, packs)
    if pack.size == 1 and not spare:
        return packs, f"{total:.0f}"
    return packs, f"{total:.0f}{spare} ÷ {pack.size:.0f} rounded up"


def _pack_words(pack: Pack, by_length: bool, units: LengthUnits) -> str:
    """What one pack is."""
    if by_length:
        return f"{pack.name} of {length(pack.size, units)[0]}"
    return pack.name if pack.size == 1 else f"{pack.name} of {pack.size:.0f}"
