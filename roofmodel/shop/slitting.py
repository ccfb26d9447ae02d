"""Which blanks are cut from which coil or sheet: along its length, then across its width.

Two steps, each planned by `roofmodel.cutting`: blanks of one girth are put end to end into strips
of stock length; strips of one length are put side by side across the coil. Girths and lengths are
rounded up to what the lists show. A strip is slit and cut straight through, as slitters and shears
do; blanks are counted as rectangles, for what their end cuts take off is scrap. Which side is
painted and how ends are cut makes no difference: blanks lie flat, and a strip may be turned over.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from roofmodel.cutting import CutPlan, plan_cuts
from roofmodel.cutting.patterns import all_patterns
from roofmodel.cutting.task import Task
from roofmodel.errors import DocumentError
from roofmodel.shop.blanks import Blank
from roofmodel.shop.remarks import SEEN_MM, small_words
from roofmodel.systems import SheetMetal
from roofmodel.takeoff.trim import cut_unit
from roofmodel.units import LengthUnits, format_length

_UP_EPS: Final = 1e-6
_LACKS_MM: Final = 1.0
"""Corners of a blank may lack so much where its stock length ends, and it is said: a piece more
would only be worse."""
_FEW: Final = 300
"""Up to so many patterns of several widths or lengths are all tried: a second at most."""

State = Literal["best", "open"]


@dataclass(frozen=True, slots=True)
class Strip:
    """Blanks of one girth, end to end in one stock length, each cut to one of `lengths`; `offcut`
    mm of it stays."""

    girth: float
    blanks: tuple[Blank, ...]
    lengths: tuple[float, ...]
    offcut: float


@dataclass(frozen=True, slots=True)
class CoilCut:
    """One stock length cut from a coil of this width, mm, and the strips it is slit into; `rest`
    mm of its width stays."""

    width: float
    length: float
    strips: tuple[Strip, ...]
    rest: float

    @property
    def enough(self) -> float:
        """So long it need be where it comes off a coil, mm: what stays of every strip stays on
        the coil."""
        return self.length - min(s.offcut for s in self.strips)


@dataclass(frozen=True, slots=True)
class SlitPlan:
    """What is cut from one metal, for one or several systems (ids). `along` and `across` say
    whether each step is proved to take the least length of strips and the least metal for them;
    both together may be beaten."""

    systems: tuple[str, ...]
    metal: SheetMetal
    cuts: tuple[CoilCut, ...]
    along: State
    across: State

    @property
    def area(self) -> float:
        """Of the metal cut from coils, mm²."""
        return math.fsum(c.width * c.length for c in self.cuts)

    @property
    def blank_area(self) -> float:
        """Of the flat blanks themselves, mm²."""
        return math.fsum(b.area for c in self.cuts for s in c.strips for b in s.blanks)

    @property
    def waste(self) -> float:
        """The share of the metal that ends in no blank, 0 to 1."""
        return 1.0 - self.blank_area / self.area

    @property
    def blanks(self) -> int:
        """How many blanks it gives."""
        return sum(len(s.blanks) for c in self.cuts for s in c.strips)

    @property
    def widths(self) -> tuple[float, ...]:
        """Of the coils it takes, mm, the widest first."""
        return tuple(sorted({c.width for c in self.cuts}, reverse=True))

    def coil_length(self, width: float) -> float:
        """How much of the coil of this width it takes, mm."""
        return math.fsum(c.length for c in self._from(width))

    def waste_of(self, width: float) -> float:
        """The share of what it takes of the coil of this width that ends in no blank, 0 to 1."""
        cuts = self._from(width)
        used = math.fsum(b.area for c in cuts for s in c.strips for b in s.blanks)
        return 1.0 - used / math.fsum(c.width * c.length for c in cuts)

    def _from(self, width: float) -> list[CoilCut]:
        return [c for c in self.cuts if abs(c.width - width) <= _UP_EPS]


@dataclass(frozen=True, slots=True)
class Slitting:
    """The plans of a job, and in sentences what is in none of them."""

    plans: tuple[SlitPlan, ...]
    notes: tuple[str, ...] = ()

    @property
    def area(self) -> float:
        """Of all the metal cut from coils, mm²."""
        return math.fsum(p.area for p in self.plans)

    @property
    def waste(self) -> float:
        """The share of it that ends in no blank, 0 to 1; 0 of nothing."""
        area = self.area
        return 1.0 - math.fsum(p.blank_area for p in self.plans) / area if area else 0.0


def slitting_of(blanks: Iterable[Blank], widths: Sequence[float], units: LengthUnits) -> Slitting:
    """The plans of all blanks for coils or sheets of these widths (mm), one for each metal
    whatever system they belong to; a cut across takes what the blank's rule says, slitting takes
    nothing. Blanks that no coil or no stock length holds are named and left out; those whose
    corners lack a hair where their stock ends are named."""
    unit = cut_unit(units)
    if not widths or not all(math.isfinite(w) and w >= unit for w in widths):
        raise DocumentError("Name at least one coil width, each a length of more than 0.")
    groups: dict[tuple[str, float], list[Blank]] = defaultdict(list)
    wide: dict[tuple[str, str], int] = defaultdict(int)
    long: dict[tuple[str, str], int] = defaultdict(int)
    lacking: dict[str, list[float]] = defaultdict(list)
    widest = max(math.floor(w / unit + _UP_EPS) for w in widths)
    for blank in blanks:
        part = blank.run.part
        metal = blank.profile.metal
        if _up(blank.girth, unit) > widest:
            wide[part, format_length(_up(blank.girth, unit) * unit, units)] += 1
        elif (over := _length(blank) - max(blank.run.stocks)) > _LACKS_MM:
            long[part, _size(_up(_length(blank), unit) * unit, units)] += 1
        else:
            groups[metal.gauge, metal.thickness].append(blank)
            if over > SEEN_MM:
                lacking[part].append(over)
    notes = [
        f"{_counted(n, part)} {size} wide, more than the widest coil"
        f" ({format_length(max(widths), units)}): take a wider coil or make the part in two."
        for (part, size), n in wide.items()
    ]
    notes += [
        f"{_counted(n, part)} {size} long, more than the longest stock length: take longer stock."
        for (part, size), n in long.items()
    ]
    notes += [
        f"{_some(len(over), part)} up to {small_words(max(over), units)} longer than the longest"
        " stock length: that much is missing at the farthest corners."
        for part, over in lacking.items()
    ]
    plans = (_planned(some, widths, unit) for some in groups.values())
    return Slitting(tuple(plans), tuple(notes))


def _counted(count: int, part: str) -> str:
    """Blanks of a part that are left out as the start of a sentence."""
    return f"{_some(count, part)} in no slitting plan: {'it is' if count == 1 else 'they are'}"


def _some(count: int, part: str) -> str:
    return f"One blank of {part} is" if count == 1 else f"{count} blanks of {part} are"


def _size(mm: float, units: LengthUnits) -> str:
    """A length, where the fraction of the lists says too little of it with decimals."""
    said = format_length(mm, units)
    unit = cut_unit(units)
    if abs(mm - round(mm / unit) * unit) <= SEEN_MM:
        return said
    return small_words(mm, units)


def _planned(blanks: Sequence[Blank], widths: Sequence[float], unit: float) -> SlitPlan:
    by_girth: dict[tuple[int, tuple[float, ...], float], list[Blank]] = defaultdict(list)
    for blank in blanks:
        by_girth[_up(blank.girth, unit), blank.run.stocks, blank.run.kerf].append(blank)
    along: State = "best"
    strips: dict[float, dict[int, deque[Strip]]] = defaultdict(lambda: defaultdict(deque))
    for (girth, stocks, kerf), some in by_girth.items():
        made, is_best = _strips(girth * unit, stocks, some, unit, kerf)
        along = along if is_best else "open"
        for length, strip in made:
            strips[length][girth].append(strip)
    across: State = "best"
    cuts = []
    coils = {math.floor(w / unit + _UP_EPS): w for w in sorted(widths, reverse=True)}
    for length, waiting in strips.items():
        plan, is_best = _least_metal({g: len(some) for g, some in waiting.items()}, [*coils])
        across = across if is_best else "open"
        for pattern in plan.patterns:
            width = coils[pattern.stock]
            for _ in range(pattern.times):
                row = tuple(waiting[g].popleft() for g in pattern.pieces)
                rest = _left(width - math.fsum(s.girth for s in row))
                cuts.append(CoilCut(width, length, row, rest))
    systems = tuple(dict.fromkeys(b.run.system for b in blanks))
    return SlitPlan(systems, blanks[0].profile.metal, tuple(cuts), along, across)


def _least_metal(
    wanted: Mapping[int, int], stocks: Sequence[int], kerf: int = 0
) -> tuple[CutPlan, bool]:
    """The plan of least metal that was found, and whether it is proved. Of several stocks all
    together are tried where the patterns are few. Else every stock that holds all pieces is tried
    alone, which is quick, and all of them together only a little, for that search can take many
    seconds to gain nothing. Of equals the one with the fewest kinds."""
    if len(stocks) == 1:
        plan = plan_cuts(wanted, stocks, kerf)
        return plan, plan.is_best
    few = all_patterns(Task.of(wanted, stocks, kerf), _FEW) is not None
    together = plan_cuts(wanted, stocks, kerf, thorough=few)
    least = together.least if together.by_metal else together.least * together.patterns[0].stock
    alone = [plan_cuts(wanted, [s], kerf) for s in stocks if s >= max(wanted)]
    best = min(
        (*alone, together), key=lambda p: (p.metal, len({c.stock for c in p.patterns}), p.bars)
    )
    return best, best.metal == least


def _strips(
    girth: float, stocks: Sequence[float], blanks: Sequence[Blank], unit: float, kerf: float
) -> tuple[list[tuple[float, Strip]], bool]:
    """Blanks of one girth in strips, each with its stock length; is their length proved the
    least?"""
    lengths = {math.floor(s / unit + _UP_EPS): s for s in stocks}
    longest = max(lengths)
    waiting: dict[int, deque[Blank]] = defaultdict(deque)
    for blank in blanks:
        # a stock length that is no whole number of units counts as the next below
        waiting[min(longest, _up(_length(blank), unit))].append(blank)
    wanted = Counter({n: len(some) for n, some in waiting.items()})
    plan, is_best = _least_metal(wanted, [*lengths], math.ceil(kerf / unit - _UP_EPS))
    out = []
    for pattern in plan.patterns:
        stock = lengths[pattern.stock]
        # what takes the whole of one is as long as it is, be that no whole number of units
        whole = pattern.pieces == (pattern.stock,)
        cut = (stock,) if whole else tuple(n * unit for n in pattern.pieces)
        offcut = 0.0 if whole else _left(stock - sum(cut) - kerf * len(cut))
        for _ in range(pattern.times):
            some = tuple(waiting[n].popleft() for n in pattern.pieces)
            out.append((stock, Strip(girth, some, cut, offcut)))
    return out, is_best


def _length(blank: Blank) -> float:
    """What a blank is cut to from a strip, mm: from corner to corner, for its ends are cut as its
    sheet has them. What the cutting list has more is for pieces that are trimmed on the roof."""
    return float(blank.outline[:, 1].max())


def _left(mm: float) -> float:
    """What stays of a length or a width; 0 where it is only rounding."""
    return mm if mm > _UP_EPS else 0.0


def _up(length: float, unit: float) -> int:
    """The length in whole units, rounded up."""
    return math.ceil(length / unit - _UP_EPS)
