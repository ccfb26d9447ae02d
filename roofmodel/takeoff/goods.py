"""Goods that fasten, seal and close a roof: what it takes of each, and the packs to buy.

Every use is noted with its own term of the printed formula; the uses of one kind of goods are
added up over the job and only then rounded up, once, to whole packs.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
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
    grouped: dict[tuple[str, str, float], list[Use]] = defaultdict(list)
    for use in uses:
        if use.amount > 0.0:
            # what is bought: systems may say otherwise where a pack's size comes from
            grouped[use.key, use.pack.name, use.pack.size].append(use)
    order = sorted(grouped, key=lambda what: list(_GOODS).index(what[0]))
    return [_line(grouped[what], units) for what in order]


def _line(uses: list[Use], units: LengthUnits) -> Quantity:
    key, pack = uses[0].key, uses[0].pack
    by_length = key in LENGTHS
    total = math.fsum(u.amount for u in uses)
    if not by_length:
        total = float(round(total))
    finer = _fineness(uses, total, units) if by_length else 0
    group, item = _GOODS[key]
    unit: Literal["mm", "count"] = "mm" if by_length else "count"
    by_spare: dict[float, float] = defaultdict(float)
    for use in uses:
        by_spare[use.pack.spare] += use.amount
    packs, pack_how = _packs(by_spare, pack.size, by_length, units)
    how = sum_of(u.term(units, finer) for u in uses)
    sources = [*(u.source for u in uses), *(f"pack: {u.pack.source}" for u in uses)]
    source = "; ".join(dict.fromkeys(sources))
    spare = " and ".join(f"{share * 100:g} %" for share in by_spare) if any(by_spare) else ""
    return Quantity(
        *(group, item, unit, total, how, source),
        tuple(dict.fromkeys(p for u in uses for p in u.planes)),
        tuple(dict.fromkeys(e for u in uses for e in u.edges)),
        note=f"packs with {spare} spare" if spare else "",
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


def _packs(
    by_spare: Mapping[float, float], size_of: float, by_length: bool, units: LengthUnits
) -> tuple[int, str]:
    """How many packs of a size, and the formula of it; `by_spare` holds amounts by the share that
    is bought beyond them."""
    packs = rounded_up(math.fsum(a * (1.0 + s) for s, a in by_spare.items()) / size_of)
    total = math.fsum(by_spare.values())

    def written(finer: int) -> tuple[str, float]:
        terms, value = [], 0.0
        for spare, amount in by_spare.items():
            text, mm = length(amount, units, finer) if by_length else (f"{amount:.0f}", amount)
            terms.append(f"{text} × {100.0 * (1.0 + spare):g} %" if spare else text)
            value += mm * (1.0 + spare)
        whole = terms[0] if len(terms) == 1 else f"({sum_of(terms)})"
        one = size(size_of, units) if by_length else f"{size_of:.0f}"
        return f"{whole} ÷ {one} rounded up", rounded_up(value / size_of)

    if by_length:
        return packs, fine_enough(written, packs)
    if size_of == 1 and not any(by_spare):
        return packs, f"{total:.0f}"
    return packs, written(0)[0]


def _pack_words(pack: Pack, by_length: bool, units: LengthUnits) -> str:
    """What one pack is."""
    if by_length:
        return f"{pack.name} of {length(pack.size, units)[0]}"
    return pack.name if pack.size == 1 else f"{pack.name} of {pack.size:.0f}"
