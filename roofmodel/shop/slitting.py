"""Which blanks are cut from which coil or sheet: along its length, then across its width.

Two steps, each planned by `roofmodel.cutting`: blanks of one girth are put end to end into strips
of stock length; strips of one length are put side by side across the coil. Girths and lengths are
rounded up to what the lists show. A strip is slit and cut straight through, as slitters and shears
do; blanks are counted as rectangles, for what their end cuts take off is scrap.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from roofmodel.cutting import plan_cuts
from roofmodel.errors import DocumentError
from roofmodel.shop.blanks import Blank
from roofmodel.systems import SheetMetal
from roofmodel.takeoff.trim import cut_unit
from roofmodel.units import LengthUnits, format_length

_UP_EPS: Final = 1e-6

State = Literal["best", "open"]


@dataclass(frozen=True, slots=True)
class Strip:
    """Blanks of one girth, end to end in one stock length; `offcut` mm of it stays."""

    girth: float
    blanks: tuple[Blank, ...]
    offcut: float


@dataclass(frozen=True, slots=True)
class CoilCut:
    """One stock length cut from a coil of this width, mm, and the strips it is slit into; `rest`
    mm of its width stays."""

    width: float
    length: float
    strips: tuple[Strip, ...]
    rest: float


@dataclass(frozen=True, slots=True)
class SlitPlan:
    """What is cut for one system from one metal. `along` and `across` say whether each step is
    proved to take the fewest strips and the least metal; both together may be beaten."""

    system: str
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

    def coil_length(self, width: float) -> float:
        """How much of the coil of this width it takes, mm."""
        return math.fsum(c.length for c in self.cuts if c.width == width)


def slit_plans(
    blanks: Sequence[Blank], widths: Sequence[float], units: LengthUnits, *, kerf: float = 0.0
) -> tuple[SlitPlan, ...]:
    """The plans of all blanks for coils or sheets of these widths (mm), one for each system and
    metal. `kerf` mm is what a cut across takes; slitting takes nothing. DocumentError where a
    blank is wider than every coil."""
    unit = cut_unit(units)
    if not widths or not all(math.isfinite(w) and w >= unit for w in widths):
        raise DocumentError("Name at least one coil width, each a length of more than 0.")
    widest = max(widths)
    groups: dict[tuple[str, SheetMetal], list[Blank]] = defaultdict(list)
    for blank in blanks:
        if _up(blank.girth, unit) * unit > widest + _UP_EPS:
            raise DocumentError(
                f"{blank.name} is {format_length(blank.girth, units)} wide, the widest coil"
                f" {format_length(widest, units)}: choose a wider coil or make the part in two."
            )
        groups[blank.run.system, blank.profile.metal].append(blank)
    return tuple(
        _planned(system, metal, some, widths, unit, kerf)
        for (system, metal), some in groups.items()
    )


def _planned(
    system: str,
    metal: SheetMetal,
    blanks: Sequence[Blank],
    widths: Sequence[float],
    unit: float,
    kerf: float,
) -> SlitPlan:
    by_girth: dict[tuple[int, tuple[float, ...]], list[Blank]] = defaultdict(list)
    for blank in blanks:
        by_girth[_up(blank.girth, unit), blank.run.stocks].append(blank)
    along: State = "best"
    strips: dict[float, dict[int, deque[Strip]]] = defaultdict(lambda: defaultdict(deque))
    for (girth, stocks), some in by_girth.items():
        made, is_best = _strips(girth * unit, stocks, some, unit, kerf)
        along = along if is_best else "open"
        for length, strip in made:
            strips[length][girth].append(strip)
    across: State = "best"
    cuts = []
    coils = {math.floor(w / unit + _UP_EPS): w for w in widths}
    for length, waiting in strips.items():
        plan = plan_cuts({g: len(some) for g, some in waiting.items()}, [*coils])
        across = across if plan.is_best else "open"
        for pattern in plan.patterns:
            width = coils[pattern.stock]
            for _ in range(pattern.times):
                row = tuple(waiting[g].popleft() for g in pattern.pieces)
                cuts.append(CoilCut(width, length, row, width - math.fsum(s.girth for s in row)))
    return SlitPlan(system, metal, tuple(cuts), along, across)


def _strips(
    girth: float, stocks: Sequence[float], blanks: Sequence[Blank], unit: float, kerf: float
) -> tuple[list[tuple[float, Strip]], bool]:
    """Blanks of one girth in strips, each with its stock length; are they proved the fewest?"""
    lengths = {math.floor(s / unit + _UP_EPS): s for s in stocks}
    longest = max(lengths)
    waiting: dict[int, deque[Blank]] = defaultdict(deque)
    for blank in blanks:
        # a stock length that is no whole number of units counts as the next below
        waiting[min(longest, _up(blank.cut_length, unit))].append(blank)
    wanted = Counter({n: len(some) for n, some in waiting.items()})
    plan = plan_cuts(wanted, [*lengths], math.ceil(kerf / unit - _UP_EPS))
    out = []
    for pattern in plan.patterns:
        stock = lengths[pattern.stock]
        offcut = max(0.0, stock - sum(pattern.pieces) * unit - kerf * len(pattern.pieces))
        for _ in range(pattern.times):
            some = tuple(waiting[n].popleft() for n in pattern.pieces)
            out.append((stock, Strip(girth, some, offcut)))
    return out, plan.is_best


def _up(length: float, unit: float) -> int:
    """The length in whole units, rounded up."""
    return math.ceil(length / unit - _UP_EPS)
