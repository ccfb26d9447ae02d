"""What changed since an earlier revision, as a list: for paper, CSV, the workbook and the window.

A shop that has begun wants to know which pieces are to be made again, which are not wanted any
more, and which of its drawings still hold.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from roofmodel.document import Units
from roofmodel.document.releases import Difference, Release, ReleasedPiece, differences
from roofmodel.sheets.change_words import ALL_OF, size_words, was_and_now
from roofmodel.sheets.panel_sheet import runs_words
from roofmodel.sheets.slitting import part_of
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.shop.job import ShopJob
from roofmodel.shop.pieces import released_pieces
from roofmodel.takeoff.openings import SADDLE_SHEET

_ORDER: Final = ("removed", "changed", "added", "moved")
_SAID: Final = {"removed": "removed", "changed": "changed", "added": "added", "moved": "moved"}


@dataclass(frozen=True, slots=True)
class Since:
    """How a job differs from `release`: all differences, and the pieces of then and now."""

    release: Release
    found: tuple[Difference, ...]
    now: tuple[ReleasedPiece, ...]

    @property
    def title(self) -> str:
        """What its page and its list are called."""
        return f"Changed since revision {self.release.number}"


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """Pieces that changed alike: what happened to them, their marks or drawings, how many there
    are, what they were and are in words, and where they go."""

    change: str
    marks: str
    count: int
    was: str
    now: str
    where: str


@dataclass(slots=True)
class _Group:
    """Differences that are told in one row."""

    kind: str
    was_words: str
    now_words: str
    was: list[ReleasedPiece] = field(default_factory=list)
    now: list[ReleasedPiece] = field(default_factory=list)


def since_of(job: ShopJob) -> Since | None:
    """What a package has to tell: the changes of a revision from the one before it, or of what
    was not released from the last revision; None where there is nothing to tell."""
    earlier = _earlier(job)
    if earlier is None:
        return None
    now = released_pieces(job)
    found = differences(earlier.pieces, now)
    return Since(earlier, found, now) if found else None


def _earlier(job: ShopJob) -> Release | None:
    releases = job.project.releases
    number = job.changed_since
    if job.revision:
        before = [r for r in releases if r.number < job.revision]
        return before[-1] if before else None
    return next((r for r in releases if r.number == number), None)


def change_rows(found: Sequence[Difference], units: Units) -> tuple[ChangeRow, ...]:
    """Panels, then trim, part after part; of each what is gone, has changed, has come, and has
    only moved. What changed alike is one row."""
    groups: dict[tuple[object, ...], _Group] = {}
    for d in found:
        piece = d.now or d.was
        assert piece is not None  # one of them there is
        was, now = _words(d, units)
        key = (piece.what, d.kind, piece.part, was, now, *_told_with(d))
        group = groups.setdefault(key, _Group(d.kind, was, now))
        group.was += [d.was] if d.was else []
        group.now += [d.now] if d.now else []
    parts = {part: k for k, part in enumerate(dict.fromkeys(key[2] for key in groups))}

    def order(key: tuple[object, ...]) -> tuple[bool, int, int]:
        what, kind, part, *_ = key
        return what != "panel", parts[part], _ORDER.index(str(kind))

    return tuple(_row(groups[key]) for key in sorted(groups, key=order))


def changes_table(since: Since, units: Units) -> Table:
    """One row for pieces that changed alike."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (r.change, r.marks, Amount(r.count, "count"), r.was, r.now, r.where)
        for r in change_rows(since.found, units)
    )
    return Table(
        since.title,
        (
            Column("Change"),
            Column("Mark or drawing"),
            Column("Pieces", "count"),
            Column("Was"),
            Column("Is now"),
            Column("For"),
        ),
        rows,
    )


def changes_notes(since: Since) -> tuple[str, ...]:
    """What else the shop wants to know, in sentences: which of its drawings still hold."""
    number = since.release.number
    said = [
        f"Compared with revision {number} of {since.release.date}. Pieces are compared by part,"
        " shape and metal, wherever they go: what is not listed is as it was. Removed: not wanted"
        " any more. Moved: the same piece, for another place."
    ]
    if not any(d.kind != "moved" and _what(d) == "panel" for d in since.found):
        said.append("Every panel is cut as it was.")
    said += _drawing_notes(since)
    said.append(
        f"Layouts, plans, lists and the slitting plan of revision {number} are replaced by those"
        " of this package."
    )
    return tuple(said)


def _drawing_notes(since: Since) -> list[str]:
    then, now = _drawings(since.release.pieces), _drawings(since.now)
    number = since.release.number
    if not then:
        blanks = [p for p in since.release.pieces if p.what == "trim" and p.part != SADDLE_SHEET]
        kept = f"Revision {number} did not keep the names of its drawings of trim."
        return [kept] if blanks else []
    out = []
    for words, names in (
        (f"Drawings of trim of revision {number} that still hold", then.keys() & now.keys()),
        ("Not wanted any more, cut nothing by them", then.keys() - now.keys()),
        ("New drawings", now.keys() - then.keys()),
    ):
        if names:
            out.append(f"{words}: {drawing_words(n for n in (*then, *now) if n in names)}.")
    parts = list(dict.fromkeys(part_of(name)[0] for name in now))
    other = [
        f"{name}: {now[name]} instead of {then[name]}"
        for name in sorted(now, key=lambda n: (parts.index(part_of(n)[0]), _number(n)))
        if name in then and then[name] != now[name]
    ]
    if other:
        out.append(f"Hold for another number of pieces: {'; '.join(other)}.")
    return out


def _number(name: str) -> int:
    return int(part_of(name)[1] or 0)


def _drawings(pieces: Iterable[ReleasedPiece]) -> Counter[str]:
    """How many pieces are cut by each drawing, in their order."""
    return Counter(p.drawing for p in pieces if p.drawing is not None)


def drawing_words(names: Iterable[str]) -> str:
    """Names of drawings, those of one part with runs of their numbers.

    >>> drawing_words(["Hip cap 1", "Hip cap 2", "Hip cap 3", "Ridge cap", "Ridge cap 4"])
    'Hip cap 1 to 3; Ridge cap; Ridge cap 4'
    """
    parts: dict[tuple[str, bool], set[int]] = {}
    for name in names:
        part, number = part_of(name)
        some = parts.setdefault((part, bool(number)), set())
        some |= {int(number)} if number else set()
    return "; ".join(
        f"{part} {runs_words(sorted(some))}" if some else part for (part, _), some in parts.items()
    )


def marks_words(marks: Sequence[str]) -> str:
    """Marks of panels, those of one plane with runs of their numbers.

    >>> marks_words(["South 1 - 1", "South 1 - 2", "South 1 - 3", "North 1 - 9"])
    'South 1 - 1 to 3; North 1 - 9'
    """
    planes: dict[str, list[int]] = {}
    for mark in marks:
        plane, number = _placed(mark)
        planes.setdefault(plane, []).extend([] if number is None else [number])
    return "; ".join(
        f"{plane} - {runs_words(sorted(n))}" if n else plane for plane, n in planes.items()
    )


def edges_of(pieces: Sequence[ReleasedPiece]) -> str:
    """Which edges pieces of trim are for, each with its number of pieces."""
    count = Counter(_edge(p) for p in pieces)
    return "; ".join(name if n == 1 else f"{n} × {name}" for name, n in count.items())


def _words(found: Difference, units: Units) -> tuple[str, str]:
    """What a piece was and is, as far as it is the same in all pieces of a row."""
    was, now = found.was, found.now
    if was is not None and now is not None:
        return ("", "") if found.kind == "moved" else was_and_now(was, now, units)
    return size_words(was, units), size_words(now, units)


def _told_with(found: Difference) -> tuple[object, ...]:
    """What pieces that are told in one row share besides."""
    was, now = found.was, found.now
    if _what(found) == "trim":
        return (was and (was.drawing or was.place), now and (now.drawing or now.place))
    if was is None or now is None or found.kind == "changed":
        return ()
    (plane, n), (other, m) = _placed(was.mark), _placed(now.mark)
    return plane, other, (m or 0) - (n or 0)


def _row(group: _Group) -> ChangeRow:
    was, now = group.was, group.now
    some = now or was
    said, then, today, where = _SAID[group.kind], group.was_words, group.now_words, ""
    if some[0].what == "panel":
        marks = marks_words([p.mark for p in some])
        if group.kind == "moved":
            then, today = marks_words([p.mark for p in was]), marks
    else:
        named = [p[0].drawing or p[0].place for p in (was, now) if p]
        marks = ", now ".join(dict.fromkeys(named))
        where = edges_of(some)
        if group.kind == "moved":
            then, today, where = edges_of(was), where, ""
    return ChangeRow(said, marks, len(some), then, today, where)


def _what(found: Difference) -> str:
    piece = found.now or found.was
    return piece.what if piece is not None else ""


def _placed(mark: str) -> tuple[str, int | None]:
    """The mark of a panel as its plane and its number there."""
    plane, _, number = mark.rpartition(" - ")
    return (plane, int(number)) if plane and number.isdecimal() else (mark, None)


def _edge(piece: ReleasedPiece) -> str:
    """Where a piece of trim goes, without what it is."""
    return piece.place.removeprefix(f"{piece.part[:1].upper()}{piece.part[1:]}{ALL_OF}")
