"""What was released to the shop, frozen piece by piece, and how the roof differs from it now.

A release keeps what every piece was cut to on that day, so that a later change of the roof can be
told piece by piece to a shop that may have begun. Lengths mm, rounded to what can be measured.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import msgspec

from roofmodel.errors import DocumentError

if TYPE_CHECKING:
    from roofmodel.document.types import Project

ALIKE_MM: Final = 0.5
"""A piece that differs by less is the same: nobody can cut finer."""
ALIKE_DEG: Final = 0.2
ALIKE_THICK_MM: Final = 0.005
"""Neighbouring gauges are 0.1 mm apart and more."""
ALIKE_SHEET: Final = 0.02
"""kg per m²: neighbouring gauges of aluminium are 0.25 apart and more, of steel 0.7."""
LONGEST_DATE: Final = 40
MOST_COILS: Final = 6

What = Literal["panel", "trim"]

_PIECE: Final = re.compile(r"(, piece \d+ of \d+)?( \(\d+\))?$")
_BUCKET_MM: Final = 1.0


class ReleasedPiece(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One piece as it was released: a panel or a blank of trim.

    `mark` is its name in the job, `part` what it is cut from; `length` and `width` (coverage with
    lap leg, or girth); `corners` x, y, x, y … of its outline; `bends` degrees, up positive.
    `gauge`, `thickness` (mm), `colour`, `painted` (its side) and `hems` are what it is made of;
    of a panel, whose metal no gauge is known of, the `product` (its system's name) and what its
    `sheet` weighs, kg per m². `drawing` names the sheet that a blank of trim is cut by. None
    where that is not known, as in releases of before they were kept.
    """

    what: What
    mark: str
    part: str
    length: float
    width: float
    corners: tuple[float, ...] = ()
    bends: tuple[float, ...] = ()
    gauge: str | None = None
    thickness: float | None = None
    colour: str | None = None
    painted: str | None = None
    hems: str | None = None
    product: str | None = None
    sheet: float | None = None
    drawing: str | None = None

    @property
    def place(self) -> str:
        """Where it goes: its mark, of trim without which piece of its edge it is."""
        return _PIECE.sub("", self.mark) if self.what == "trim" else self.mark


class Release(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Revision `number` (1 is the first) as it was released on `date`, with a word about why."""

    number: int
    date: str
    pieces: tuple[ReleasedPiece, ...]
    note: str = ""

    def __post_init__(self) -> None:
        if self.number < 1:
            raise DocumentError("The first revision has the number 1.")

    def count(self, what: What) -> int:
        """How many panels, or pieces of trim."""
        return sum(p.what == what for p in self.pieces)


class ShopRules(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How panels are bundled: `lift_weight` kg is what one bundle may weigh, `sheet_weight` the
    metal's kg per m², `formed` how much wider the flat coil is than what a panel covers.
    `trim_coils` are the widths (mm) of the coils or flat sheets that trim is slit from."""

    lift_weight: float = 907.18474
    sheet_weight: float = 5.644086335
    formed: float = 1.2
    trim_coils: tuple[float, ...] = (1219.2,)

    def __post_init__(self) -> None:
        if not 10.0 <= self.lift_weight <= 20_000.0:
            raise DocumentError("A bundle may weigh between 10 kg (22 lb) and 20 t.")
        if not 0.5 <= self.sheet_weight <= 50.0:
            raise DocumentError("The sheet must weigh between 0.5 and 50 kg per m².")
        if not 1.0 <= self.formed <= 3.0:
            raise DocumentError("The coil must be 1 to 3 times as wide as a panel covers.")
        if not 1 <= len(self.trim_coils) <= MOST_COILS:
            raise DocumentError(f"Name 1 to {MOST_COILS} widths of coil for trim.")
        if not all(50.0 <= width <= 3000.0 for width in self.trim_coils):
            raise DocumentError("A coil for trim must be between 2 in (50 mm) and 3 m wide.")
        if len(set(self.trim_coils)) != len(self.trim_coils):
            raise DocumentError("A width of coil for trim is named twice.")


LIFT_SOURCE: Final = "2000 lb in one lift: common practice, no source"
SHEET_SOURCE: Final = (
    "1.156 lb per sq ft: 24 ga galvanised sheet, nominal, sheet-metal contractors' table"
)
FORMED_SOURCE: Final = "coil 1.2 times the coverage: common practice, no source"
COILS_SOURCE: Final = "trim slit from coil 48 in wide: common practice, no source"


@dataclass(frozen=True, slots=True)
class Difference:
    """One piece that is not as it was released: `was` and `now` are None where there is none.
    One that is "moved" is the very same piece with another mark, for another place."""

    kind: Literal["added", "removed", "changed", "moved"]
    mark: str
    was: ReleasedPiece | None
    now: ReleasedPiece | None


def released(
    project: Project, pieces: Iterable[ReleasedPiece], date: str, note: str = ""
) -> Project:
    """The project with one more revision of what is there now; DocumentError without a date."""
    date, note = date.strip(), note.strip()
    if not date or len(date) > LONGEST_DATE:
        raise DocumentError("A release needs the day it is made on.")
    some = tuple(pieces)
    if not some:
        raise DocumentError("There is no panel and no trim to release yet.")
    marks = [p.mark for p in some]
    if len(set(marks)) != len(marks):
        raise DocumentError("Two pieces have the same mark; this roof cannot be released.")
    number = project.releases[-1].number + 1 if project.releases else 1
    return msgspec.structs.replace(
        project, releases=(*project.releases, Release(number, date, some, note))
    )


def revision_now(releases: Sequence[Release], pieces: Sequence[ReleasedPiece]) -> Release | None:
    """The last release, if what there is now is just what was released then."""
    if not releases or differences(releases[-1].pieces, pieces):
        return None
    return releases[-1]


def set_shop_rules(project: Project, **fields: float | tuple[float, ...]) -> Project:
    """Set some of the rules of the shop: of bundles, and the widths of coil for trim."""
    rules = msgspec.structs.replace(project.shop, **fields)
    return project if rules == project.shop else msgspec.structs.replace(project, shop=rules)


def differences(
    before: Sequence[ReleasedPiece], after: Sequence[ReleasedPiece]
) -> tuple[Difference, ...]:
    """How pieces differ from those of a release: what is gone, in the release's order, then what
    has changed, moved or come, in today's order.

    Pieces that are alike are found first, for what is made already serves wherever it goes: at
    their mark, else at their place, else at any. Only what is left is compared mark by mark; at
    one place too, where as many are left of then as of now.
    """
    pairs = _Pairs(before, after)
    pairs.take(lambda p: p.mark, _is_same)
    pairs.take(lambda p: p.place, _is_same)
    pairs.take_alike()
    pairs.take(lambda p: p.mark)
    pairs.take_even()
    out = [Difference("removed", before[k].mark, before[k], None) for k in pairs.old]
    for k, piece in enumerate(after):
        at = pairs.of.get(k)
        was = None if at is None else before[at]
        if was is None:
            out.append(Difference("added", piece.mark, None, piece))
        elif not _is_same(was, piece):
            out.append(Difference("changed", piece.mark, was, piece))
        elif was.place != piece.place:
            out.append(Difference("moved", piece.mark, was, piece))
    return tuple(out)


class _Pairs:
    """Pieces of now (`of`, by number) with the number of what they were; `old` and `new` are those
    without, in order."""

    def __init__(self, before: Sequence[ReleasedPiece], after: Sequence[ReleasedPiece]) -> None:
        self.before, self.after = before, after
        self.old, self.new = dict.fromkeys(range(len(before))), dict.fromkeys(range(len(after)))
        self.of: dict[int, int] = {}

    def take(
        self,
        key: Callable[[ReleasedPiece], Hashable],
        fits: Callable[[ReleasedPiece, ReleasedPiece], bool] = lambda one, two: True,
    ) -> None:
        """Pair what has one key and fits."""
        known: dict[Hashable, list[int]] = {}
        for k in self.old:
            known.setdefault(key(self.before[k]), []).append(k)
        for k in tuple(self.new):
            self._first(known.get(key(self.after[k]), []), k, fits)

    def take_alike(self) -> None:
        """Pair the same pieces, wherever they go."""
        known: dict[Hashable, list[int]] = {}
        for k in self.old:
            piece = self.before[k]
            known.setdefault((piece.part, int(piece.length // _BUCKET_MM)), []).append(k)
        for k in tuple(self.new):
            piece = self.after[k]
            at = int(piece.length // _BUCKET_MM)
            for bucket in (at, at - 1, at + 1):
                if self._first(known.get((piece.part, bucket), []), k, _is_same):
                    break

    def take_even(self) -> None:
        """Pair in their order what is left at a place, if as many are left of then as of now."""
        places: dict[Hashable, tuple[list[int], list[int]]] = {}
        for some, pieces, which in ((self.old, self.before, 0), (self.new, self.after, 1)):
            for k in some:
                places.setdefault((pieces[k].what, pieces[k].place), ([], []))[which].append(k)
        for then, now in places.values():
            if len(then) == len(now):
                for one, two in zip(then, now, strict=True):
                    self._pair(one, two)

    def _first(
        self, some: list[int], k: int, fits: Callable[[ReleasedPiece, ReleasedPiece], bool]
    ) -> bool:
        found = next((j for j in some if fits(self.before[j], self.after[k])), None)
        if found is None:
            return False
        some.remove(found)
        self._pair(found, k)
        return True

    def _pair(self, then: int, now: int) -> None:
        del self.old[then], self.new[now]
        self.of[now] = then


def metal_changed(one: ReleasedPiece, two: ReleasedPiece) -> tuple[str, ...]:
    """In words, what two pieces are made of that differs: thickness or weight, gauge, panel,
    colour, painted side, hems. What one of them does not know is not compared."""
    said = [
        words
        for words, was, now in (
            ("gauge", one.gauge, two.gauge),
            ("panel", one.product, two.product),
            ("colour", one.colour, two.colour),
            ("painted side", one.painted, two.painted),
            ("hems", one.hems, two.hems),
        )
        if was is not None and now is not None and was != now
    ]
    thick = one.thickness, two.thickness
    if None not in thick and abs((thick[0] or 0.0) - (thick[1] or 0.0)) > ALIKE_THICK_MM:
        said.insert(0, "thickness")
    sheets = one.sheet, two.sheet
    if None not in sheets and abs((sheets[0] or 0.0) - (sheets[1] or 0.0)) > ALIKE_SHEET:
        said.insert(0, "weight of the sheet")
    return tuple(said)


def cut_alike(one: ReleasedPiece, two: ReleasedPiece) -> bool:
    """Are two pieces cut and bent alike from the same metal, of whatever colour? Trim may lie
    turned end for end where its section reads the same from both borders."""
    if (one.what, one.part) != (two.what, two.part) or set(metal_changed(one, two)) - {"colour"}:
        return False
    if not _close((one.length, one.width), (two.length, two.width), ALIKE_MM):
        return False
    if one.what == "panel":
        return _close(one.corners, two.corners, ALIKE_MM) and _close(
            one.bends, two.bends, ALIKE_DEG
        )
    if _close(one.bends, two.bends, ALIKE_DEG) and _same_ring(one.corners, two.corners):
        return True
    turned = tuple(
        (two.length if k % 2 else two.width) - value for k, value in enumerate(two.corners)
    )
    return (
        _close(one.bends, two.bends[::-1], ALIKE_DEG)
        and _turned_hems(one.hems, two.hems)
        and _same_ring(one.corners, turned)
    )


def _is_same(one: ReleasedPiece, two: ReleasedPiece) -> bool:
    return one == two or (cut_alike(one, two) and not metal_changed(one, two))


def _turned_hems(one: str | None, two: str | None) -> bool:
    """Are the hems of one those of the other from the far border?"""
    if one is None or two is None:
        return True
    return one.split("; ") == two.split("; ")[::-1]


def _same_ring(one: Sequence[float], two: Sequence[float]) -> bool:
    """Are these the same corners, whichever comes first?"""
    starts = range(0, len(two), 2) if two else (0,)
    return any(_close(one, (*two[k:], *two[:k]), ALIKE_MM) for k in starts)


def _close(one: Sequence[float], two: Sequence[float], by: float) -> bool:
    return len(one) == len(two) and all(abs(a - b) <= by for a, b in zip(one, two, strict=True))
