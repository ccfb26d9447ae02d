"""The lines of the take-off as the Count stage shows them: cells, groups, what is searched. No
Qt in here.

Vocabulary
----------
line
    One quantity with its cells as text.
group
    The lines that follow one title, with their total where one makes sense.
wanted
    What the lines shown must have: typed words, a building, a covering, a plane or an edge.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from roofmodel.document import Units
from roofmodel.results import Results
from roofmodel.takeoff import Quantity
from roofmodel.units import format_area, format_length, format_volume, format_weight, round_half_up
from roofmodel_ui.selection import Selectable, Selection

EACH_EDGE: Final = "Each edge"
"""The group of single lengths: they stay in millimetres, sums of lengths are metres."""

COLUMNS: Final = ("Item", "Quantity", "Unit", "Packs to buy", "Covering", "Building")
ITEM, QUANTITY, UNIT, PACKS, COVERING, BUILDING = range(len(COLUMNS))

_ADDED: Final = ("mm²", "count", "money")
"""Units whose sum over a group says something; lengths of unlike edges added up say nothing."""


@dataclass(frozen=True, slots=True)
class Line:
    """`cells` as `COLUMNS`; `text` is what is searched, in lower case."""

    quantity: Quantity
    cells: tuple[str, ...]
    text: str

    @property
    def about(self) -> Selection:
        """The planes and edges it came from."""
        return frozenset((*self.quantity.planes, *self.quantity.edges))


@dataclass(frozen=True, slots=True)
class Group:
    """`total` is the number and the unit of the sum of its lines, empty where there is none."""

    title: str
    lines: tuple[Line, ...]
    total: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked of what is shown; empty is no condition."""

    words: str = ""
    building: str = ""
    covering: str = ""
    about: Selection = frozenset()

    def owner_fits(self, building: str, covering: str) -> bool:
        """Whether something of this building and covering (names) is shown."""
        return self.building in ("", building) and self.covering in ("", covering)

    def finder(self, texts: Iterable[str]) -> Callable[[str], bool]:
        """Which texts (lower case) fit the words: those that hold them as they were typed, or if
        none does, all those that hold each of them. A number typed last is a whole one."""
        typed = " ".join(self.words.lower().split())
        if not typed:
            return lambda text: True
        whole = _pattern(typed)
        if any(whole.search(t) for t in texts):
            return lambda text: whole.search(text) is not None
        each = [_pattern(word) for word in typed.split()]
        return lambda text: all(p.search(text) for p in each)


def _pattern(typed: str) -> re.Pattern[str]:
    return re.compile(re.escape(typed) + (r"(?!\d)" if typed[-1].isdigit() else ""))


def amount(quantity: Quantity, units: Units) -> str:
    """The quantity with its unit, as the project shows it."""
    return " ".join(part for part in number_and_unit(quantity, units) if part)


def number_and_unit(quantity: Quantity, units: Units) -> tuple[str, str]:
    """The quantity as text and its unit; feet and inches bear their units in their marks."""
    value = quantity.quantity
    match quantity.unit:
        case "mm":
            if units.system == "metric" and quantity.group != EACH_EDGE:
                return _rounded(value / 1000.0, 2), "m"
            text = format_length(value, units)
            return (text, "") if units.system == "feet" else _apart(text)
        case "mm²":
            return _apart(format_area(value, units))
        case "mm³":
            return _apart(format_volume(value, units))
        case "kg":
            return _apart(format_weight(value, units))
        case "share":
            return _rounded(value * 100.0, 1), "%"
        case "squares":
            return _rounded(value, 2), "squares"
        case "count":
            return f"{value:g}" if value % 1 else f"{value:.0f}", ""
        case _:
            return f"{value:g}", quantity.unit


def _apart(text: str) -> tuple[str, str]:
    number, _, unit = text.partition(" ")
    return number, unit


def _rounded(value: float, places: int) -> str:
    """Decimals, half up; what rounds to nothing has no sign."""
    return f"{round_half_up(value * 10**places) / 10**places:.{places}f}"


def packs_of(quantity: Quantity) -> str:
    """How many packs are bought, and of what."""
    return f"{quantity.packs} × {quantity.pack}" if quantity.packs else ""


def names_of(results: Results) -> dict[Selectable, str]:
    """The names of all planes and edges by id."""
    surface = results.surface
    return {
        **{p.id: p.name for p in surface.planes},
        **{e.id: e.name for e in surface.edges},
    }


def lines_of(results: Results) -> list[Line]:
    """All lines, group by group; groups and lines keep the order they first came in."""
    units, names = results.project.units, names_of(results)
    order: dict[str, int] = {}
    for quantity in results.take_off.quantities:
        order.setdefault(quantity.group, len(order))
    out = []
    for q in sorted(results.take_off.quantities, key=lambda q: order[q.group]):
        cells = (q.item, *number_and_unit(q, units), packs_of(q), q.covering, q.building)
        about = (names[i] for i in (*q.planes, *q.edges) if i in names)
        searched = (q.group, q.item, q.how, q.note, q.pack, q.pack_how, *about)
        out.append(Line(q, cells, "\n".join(searched).lower()))
    return out


def groups_of(lines: Sequence[Line], wanted: Wanted, units: Units) -> list[Group]:
    """The lines that are shown, in their groups, each with the total of what is shown of it."""
    fits = wanted.finder(line.text for line in lines)
    found: dict[str, list[Line]] = {}
    for line in lines:
        q = line.quantity
        if (
            wanted.owner_fits(q.building, q.covering)
            and (not wanted.about or wanted.about & line.about)
            and fits(line.text)
        ):
            found.setdefault(q.group, []).append(line)
    return [Group(title, tuple(some), _total(some, units)) for title, some in found.items()]


def _total(lines: Sequence[Line], units: Units) -> tuple[str, str]:
    """The sum of lines that are parts of one whole: areas, or counts and money of goods of one
    kind in the price book ("trim:ridge cap"), not sold in packs."""
    quantities = [line.quantity for line in lines]
    first = quantities[0]
    alike = {(q.unit, q.key.partition(":")[0]) for q in quantities}
    if first.unit == "count" and ":" not in first.key:
        return "", ""
    if len(lines) < 2 or len(alike) > 1 or first.unit not in _ADDED or any(
        q.packs for q in quantities
    ):  # fmt: skip
        return "", ""
    return number_and_unit(replace(first, quantity=sum(q.quantity for q in quantities)), units)


def in_order(group: Group, column: int, *, falling: bool) -> Group:
    """The group with its lines sorted by a column; numbers by their size, packs by how many."""

    def key(line: Line) -> tuple[float, list[tuple[int, str]]]:
        if column == QUANTITY:
            return line.quantity.quantity, []
        if column == PACKS:
            return float(line.quantity.packs), []
        return 0.0, natural(line.cells[column])

    return replace(group, lines=tuple(sorted(group.lines, key=key, reverse=falling)))


def natural(text: str) -> list[tuple[int, str]]:
    """A key that sorts "Ridge 2" before "Ridge 10"."""
    parts = re.split(r"(\d+)", text.lower())
    return [(int(p), "") if p.isdigit() else (-1, p) for p in parts]


def about_words(about: Selection, results: Results) -> str:
    """The planes and edges meant, as words: up to three by their names."""
    names = names_of(results)
    known = sorted((names[i] for i in about if i in names), key=natural)
    if len(known) > 3:
        return f"{len(known)} planes and edges"
    return " and ".join(known) if len(known) < 3 else f"{known[0]}, {known[1]} and {known[2]}"


def tabbed(rows: Iterable[Sequence[str]]) -> str:
    """Rows as text for a spreadsheet: cells apart by tabs; none is taken for a formula."""
    return "\n".join("\t".join(map(_plain, row)) for row in rows)


def _plain(text: str) -> str:
    clean = " ".join(text.split())
    return f"'{clean}" if clean[:1] in ("=", "+", "-", "@") else clean


def copied(lines: Iterable[Line]) -> str:
    """Lines for a spreadsheet, with what stands behind them."""
    titles = ("Group", *COLUMNS, "Formula", "Note", "Source")
    rows = (
        (line.quantity.group, *line.cells, line.quantity.how, line.quantity.note,
         line.quantity.source)
        for line in lines
    )  # fmt: skip
    return tabbed((titles, *rows))
