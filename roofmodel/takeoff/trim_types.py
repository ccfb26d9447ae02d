"""Trim as counted: runs along edges, and the bars their pieces are cut from. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from roofmodel.surface.types import EdgeId, PlaneId
from roofmodel.systems import EdgeKind


@dataclass(frozen=True, slots=True)
class TrimRun:
    """One part of the trim along one edge, or along several that go on straight.

    `cuts` are the lengths of its pieces, longest first: whole stock lengths and what remains.
    With laps they cover `needed`: its `length` and what its ends ask for. `edge_name` names all
    its edges and, where it lies on one plane's panels (`plane`), that side; `kind` is what they
    are trimmed as; `part` is also the name of its cross-section; `system` and `building` are ids;
    `stocks` are all lengths the part comes in, the shortest first, `stock_length` the one that
    whole pieces have. `fold` is how far it is bent with the roof, degrees, 0 for a part bent
    alike everywhere; `hollow`: the roof bends up over it (a valley, a wall). `how` is the
    formula of what its pieces cover, `note` what that is.

    Where the systems on both sides lay different parts, `halves` names the two that its section
    is put together from, that of the plane `first` before the other, and `ruled_as` the one of
    `system`, by whose rules it is cut, held and priced.
    """

    edges: tuple[EdgeId, ...]
    edge_name: str
    kind: EdgeKind
    part: str
    length: float
    needed: float
    fold: float
    stock_length: float
    stocks: tuple[float, ...]
    kerf: float
    lap: float
    cuts: tuple[float, ...]
    how: str
    source: str
    system: str
    building: str
    note: str = ""
    plane: PlaneId | None = None
    hollow: bool = False
    halves: tuple[str, str] | None = None
    first: PlaneId | None = None
    ruled_as: str = ""

    @property
    def ruling_part(self) -> str:
        """The part whose rule, price, screws and sealant it takes."""
        return self.ruled_as or self.part

    @property
    def covered(self) -> float:
        """The length that its pieces cover, laps taken off."""
        return math.fsum(self.cuts) - (len(self.cuts) - 1) * self.lap

    @property
    def words(self) -> str:
        """The formula and the note as one text."""
        return f"{self.how}; {self.note}" if self.note else self.how

    @property
    def pieces(self) -> int:
        """How many pieces it takes."""
        return len(self.cuts)

    @property
    def whole(self) -> int:
        """How many of them are whole stock lengths."""
        return sum(c >= self.stock_length for c in self.cuts)


@dataclass(frozen=True, slots=True)
class TrimPiece:
    """A piece of this length for this run."""

    run: TrimRun
    length: float


@dataclass(frozen=True, slots=True)
class TrimBar:
    """One stock length and what is cut from it, longest first; `offcut` stays."""

    stock_length: float
    pieces: tuple[TrimPiece, ...]
    offcut: float

    @property
    def cuts(self) -> tuple[float, ...]:
        """The lengths of its pieces."""
        return tuple(p.length for p in self.pieces)

    @property
    def is_whole(self) -> bool:
        """Is it used as it comes?"""
        return self.pieces[0].length >= self.stock_length


@dataclass(frozen=True, slots=True)
class TrimPlan:
    """The bars of one part, bent to much the same angle, for one building in one system (ids).

    `name` is the part's, with its bend where the job has it bent in several ways.

    `state` is "best" where it is proved that no plan for these pieces takes fewer bars (less
    metal, if `by_metal`: the part comes in several lengths), "open" where the best might save
    up to `gap` bars (mm of metal), "estimate" where every piece has a bar of its own.
    """

    part: str
    system: str
    building: str
    bars: tuple[TrimBar, ...]
    kerf: float
    by_metal: bool
    state: Literal["best", "open", "estimate"]
    gap: float
    name: str

    @property
    def metal(self) -> float:
        """The length of all its bars."""
        return sum(b.stock_length for b in self.bars)

    @property
    def waste(self) -> float:
        """The share of its metal that is in no piece, 0 to 1."""
        return 1.0 - sum(p.length for b in self.bars for p in b.pieces) / self.metal

    @property
    def runs(self) -> tuple[TrimRun, ...]:
        """The runs it cuts for."""
        return tuple(dict.fromkeys(p.run for b in self.bars for p in b.pieces))
