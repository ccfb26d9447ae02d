"""A cutting task in the form the search works on, and bars while they are put together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import mul
from typing import NamedTuple

from roofmodel.errors import DocumentError


class Cut(NamedTuple):
    """Numbers of pieces of each kind cut from a bar of stock number `stock`."""

    stock: int
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Task:
    """Pieces longest first, stocks shortest first.

    `sizes` and `rooms` are piece + kerf and stock + kerf: n pieces need one cut less than there
    are pieces. Stocks that no piece fits into are left out. `prices` are what a search makes
    small: 1 per bar where there is one stock, else length · (pieces + 1) + 1, so that less metal
    comes first and fewer bars second: no plan has more bars than pieces.
    """

    pieces: tuple[int, ...]
    wanted: tuple[int, ...]
    stocks: tuple[int, ...]
    kerf: int
    sizes: tuple[int, ...]
    rooms: tuple[int, ...]
    prices: tuple[int, ...]

    @classmethod
    def of(cls, wanted: Mapping[int, int], stocks: Sequence[int], kerf: int) -> Task:
        """Sort and check; DocumentError where a piece is longer than every stock."""
        some = {length: count for length, count in wanted.items() if count > 0}
        lengths = tuple(sorted(set(stocks)))
        if kerf < 0 or min((*some, *lengths), default=1) <= 0:
            raise DocumentError(
                "Pieces and stock lengths must be longer than 0, the kerf not less."
            )
        pieces = tuple(sorted(some, reverse=True))
        if pieces and (not lengths or pieces[0] > lengths[-1]):
            raise DocumentError(
                f"A piece of {pieces[0]} is longer than every stock length; cut it in two."
            )
        lengths = tuple(s for s in lengths if not pieces or s >= pieces[-1])
        many = sum(some.values()) + 1
        prices = (1,) if len(lengths) == 1 else tuple(s * many + 1 for s in lengths)
        sizes = [p + kerf for p in pieces]
        rooms = [s + kerf for s in lengths]
        shared = math.gcd(*sizes) or 1  # a room is used up in whole multiples of it
        return cls(
            pieces,
            tuple(some[p] for p in pieces),
            lengths,
            kerf,
            tuple(s // shared for s in sizes),
            tuple(r // shared for r in rooms),
            prices,
        )

    def used(self, counts: Sequence[int]) -> int:
        """The room that these pieces take."""
        return sum(map(mul, counts, self.sizes))

    def cheapest(self, counts: Sequence[int]) -> int:
        """The number of the shortest stock that holds these pieces; StopIteration if none does."""
        used = self.used(counts)
        return next(k for k, room in enumerate(self.rooms) if used <= room)

    def cost(self, cuts: Mapping[Cut, int]) -> int:
        """The price of so many bars of each kind."""
        return sum(times * self.prices[cut.stock] for cut, times in cuts.items())

    def least_metal(self, bound: int) -> int:
        """The metal that no plan can be below, from the price that none can be below: whole
        stock lengths only come to multiples of their common divisor."""
        many = sum(self.wanted)
        shared = math.gcd(*self.stocks)
        return -(-(bound - many) // ((many + 1) * shared)) * shared

    def raised(self, bound: int) -> int:
        """A price that no plan can be below, raised to what metal in whole stock lengths costs."""
        if len(self.stocks) == 1:
            return bound
        metal = self.least_metal(bound)
        return max(bound, metal * (sum(self.wanted) + 1) + -(-metal // self.stocks[-1]))

    def missing(self, cuts: Mapping[Cut, int]) -> tuple[int, ...]:
        """How many pieces of each kind are still wanted; negative where there are too many."""
        left = list(self.wanted)
        for cut, times in cuts.items():
            for kind, n in enumerate(cut.counts):
                left[kind] -= n * times
        return tuple(left)

    def trimmed(self, cuts: Mapping[Cut, int]) -> dict[Cut, int]:
        """The same without pieces that nobody wants, each bar of the shortest stock that does."""
        out = {cut: times for cut, times in cuts.items() if times > 0}
        for kind, missing in enumerate(self.missing(out)):
            surplus = -missing
            if surplus <= 0:
                continue
            # from the emptiest bars first: that leaves the longest offcuts
            for cut in sorted(out, key=lambda c: (self.used(c.counts), c)):
                if surplus <= 0:
                    break
                here = cut.counts[kind]
                if not here:
                    continue
                whole = min(out[cut], surplus // here)
                for drop, times in ((here, whole), (surplus - whole * here, 1)):
                    if 0 < drop <= here and times and out.get(cut, 0) >= times:
                        counts = list(cut.counts)
                        counts[kind] -= drop
                        _move(out, cut, Cut(cut.stock, tuple(counts)), times)
                        surplus -= drop * times
        done: dict[Cut, int] = {}
        for cut, times in out.items():
            if any(cut.counts):
                best = Cut(self.cheapest(cut.counts), cut.counts)
                done[best] = done.get(best, 0) + times
        return done


def _move(cuts: dict[Cut, int], old: Cut, new: Cut, times: int) -> None:
    """Turn so many bars of one kind into another."""
    cuts[old] -= times
    if not cuts[old]:
        del cuts[old]
    cuts[new] = cuts.get(new, 0) + times
