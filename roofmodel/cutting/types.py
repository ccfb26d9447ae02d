"""Cutting plans as data. Lengths are whole numbers of one unit, such as 1/16 in.

Vocabulary
----------
piece
    A length that is wanted, so and so many times.
stock
    A length that can be bought; a bar is one of them.
kerf
    What one cut takes away.
pattern
    The pieces cut from one bar; it is cut so and so many times.
offcut
    What stays of a bar.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class CutPattern:
    """`pieces` (longest first) cut from each of `times` bars of length `stock`."""

    stock: int
    pieces: tuple[int, ...]
    times: int

    def offcut(self, kerf: int) -> int:
        """What stays of one bar after its last piece is cut off."""
        return max(0, self.stock - sum(self.pieces) - kerf * len(self.pieces))


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Patterns that give every piece wanted, none too many.

    `least` is what no plan can go below: bars where one stock length is of use, else (`by_metal`)
    metal, the sum of the bars' lengths. It is proved; a plan that meets it is the best there is.
    """

    patterns: tuple[CutPattern, ...]
    kerf: int
    least: int
    by_metal: bool

    @property
    def bars(self) -> int:
        """How many bars it takes."""
        return sum(p.times for p in self.patterns)

    @property
    def metal(self) -> int:
        """The length of all its bars."""
        return sum(p.times * p.stock for p in self.patterns)

    @property
    def gap(self) -> int:
        """How many bars (or how much metal) the best plan could save at most."""
        return (self.metal if self.by_metal else self.bars) - self.least

    @property
    def is_best(self) -> bool:
        """Is it proved that no plan takes fewer bars (or less metal)?"""
        return self.gap == 0

    @property
    def pieces(self) -> Counter[int]:
        """How many pieces of each length it gives."""
        out: Counter[int] = Counter()
        for p in self.patterns:
            for piece in p.pieces:
                out[piece] += p.times
        return out


Planner: TypeAlias = Callable[[Mapping[int, int], Sequence[int], int], CutPlan | None]
"""From pieces wanted, stock lengths and kerf to a plan, or None where there is none as yet."""
