"""The slitting plan of trim as lists: every way a coil is cut, and the metal it takes in all."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.shop_words import metal_words, system_name
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.shop.blanks import Blank
from roofmodel.shop.job import ShopJob
from roofmodel.shop.slitting import CoilCut, SlitPlan, Strip
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import MM2_PER_SQ_FT, MM_PER_FT, MM_PER_IN, format_length

_EXACT: Final = 6
_SHOWN_MM: Final = 0.01
"""Less is rounding."""


@dataclass(frozen=True, slots=True)
class BlankKind:
    """Blanks in a strip that are cut to one length (mm), `count` of them in each strip; `names`
    are those of all strips alike, as the blanks' sheets are named, each with how many."""

    count: int
    length: float
    names: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class StripKind:
    """Strips side by side that are cut alike, `count` of them in each coil cut: their girth, the
    blanks end to end, the longest first, and what stays of the length, mm."""

    count: int
    girth: float
    blanks: tuple[BlankKind, ...]
    offcut: float

    @property
    def number(self) -> int:
        """How many blanks come from all strips alike, of all cuts alike."""
        return sum(n for b in self.blanks for _, n in b.names)


@dataclass(frozen=True, slots=True)
class CutKind:
    """Coil cuts that are slit and cut alike: `number` counts in the job, `times` says how many;
    coil width, length, how much of it is enough off a coil, and what stays of the width are mm."""

    number: int
    times: int
    width: float
    length: float
    enough: float
    strips: tuple[StripKind, ...]
    rest: float


@dataclass(frozen=True, slots=True)
class SlitSheet:
    """A plan with its alike cuts together; `covering` (one or several) and `metal` in words."""

    plan: SlitPlan
    covering: str
    metal: str
    kinds: tuple[CutKind, ...]


def slit_sheets(job: ShopJob) -> tuple[SlitSheet, ...]:
    """Every plan of the job; cuts of one width and set of girths follow each other, so that the
    knives are set once for them."""
    names = {b: d.name for d in job.trim for b in d.blanks}
    out: list[SlitSheet] = []
    for plan in job.slitting.plans:
        alike: dict[object, list[CoilCut]] = {}
        for cut in plan.cuts:
            alike.setdefault(_key_of(cut), []).append(cut)
        groups = sorted(alike.values(), key=_order)
        before = sum(len(s.kinds) for s in out)
        kinds = tuple(_kind(k, g, names) for k, g in enumerate(groups, before + 1))
        metal = metal_words(plan.metal, job.project.units)
        covering = " and ".join(system_name(job.project, s) for s in plan.systems)
        out.append(SlitSheet(plan, covering, metal, kinds))
    return tuple(out)


def slitting_notes(job: ShopJob) -> tuple[str, ...]:
    """What is in none of the plans, in sentences."""
    saddles = "Saddles are cut from flat sheet of their own; their sheets are with the blanks."
    return (*job.slitting.notes, *job.blanks.left_out, *((saddles,) if job.saddles else ()))


def slitting_table(job: ShopJob) -> Table:
    """One row for strips that are cut alike in coil cuts that are: the coil, how often, which
    strips, what blanks they give, what stays."""
    units = job.project.units
    rows: list[tuple[Cell, ...]] = []
    sheets = slit_sheets(job)
    for sheet in sheets:
        for cut in sheet.kinds:
            rows += [
                (
                    Amount(cut.number, "count"),
                    Amount(cut.times, "count"),
                    Amount(cut.width, "mm"),
                    Amount(cut.length, "mm"),
                    Amount(cut.enough, "mm"),
                    Amount(strip.count, "count"),
                    Amount(strip.girth, "mm"),
                    lengths_words(strip, units),
                    Amount(strip.number, "count"),
                    whose_words(strip, units)
                    if len(strip.blanks) > 1
                    else names_words(strip.blanks[0].names),
                    Amount(strip.offcut, "mm"),
                    Amount(cut.rest, "mm"),
                    sheet.metal,
                )
                for strip in cut.strips
            ]
    blanks = sum(s.plan.blanks for s in sheets)
    return Table(
        "Slitting plan",
        (
            Column("Cut", "count"),
            Column("Times", "count"),
            Column("Coil width", "mm", to_cut=True),
            Column("Cut off at", "mm", to_cut=True),
            Column("Enough off a coil", "mm", to_cut=True),
            Column("Strips side by side", "count"),
            Column("Girth", "mm", to_cut=True),
            Column("Blanks end to end"),
            Column("Blanks in all", "count"),
            Column("For"),
            Column("Offcut of each strip", "mm", to_cut=True),
            Column("Rest of the width", "mm", to_cut=True),
            Column("Metal"),
        ),
        tuple(rows),
        ("Total", *[""] * 7, Amount(blanks, "count"), *[""] * 4) if rows else None,
    )


def slit_metal_table(job: ShopJob) -> Table:
    """One row per coil width of each plan: how much of the coil, the metal, the share of it that
    ends in no blank, what is proved."""
    slitting, units = job.slitting, job.project.units
    rows: list[tuple[Cell, ...]] = []
    for plan in slitting.plans:
        for width in plan.widths:
            cuts = [c for c in plan.cuts if c.width == width]
            length = plan.coil_length(width)
            rows.append(
                (
                    metal_words(plan.metal, units),
                    Amount(width, "mm"),
                    Amount(len(cuts), "count"),
                    Amount(length, "mm"),
                    Amount(math.fsum(c.enough for c in cuts), "mm"),
                    Amount(width * length, "mm²"),
                    Amount(plan.waste_of(width), "share"),
                    proof_of(plan),
                )
            )
    count = sum(len(p.cuts) for p in slitting.plans)
    total = (Amount(count, "count"), "", "", Amount(slitting.area, "mm²"))
    return Table(
        "Metal for trim",
        (
            Column("Metal"),
            Column("Coil width", "mm", to_cut=True),
            Column("Cuts", "count"),
            Column("Length of coil", "mm"),
            Column("Enough off a coil", "mm"),
            Column("Area", "mm²"),
            Column("In no blank", "share"),
            Column("Plan"),
        ),
        tuple(rows),
        ("Total", "", *total, Amount(slitting.waste, "share"), "") if rows else None,
    )


def proof_of(plan: SlitPlan) -> str:
    """What is proved of a plan, in words."""
    if plan.along == plan.across == "best":
        return "least length of strips, then least coil for these: each proved"
    if plan.along == "best":
        return "least length of strips, proved; perhaps not the least coil for these"
    if plan.across == "best":
        return "perhaps not the least length of strips; least coil for these, proved"
    return "perhaps neither the least length of strips nor the least coil for these"


def slitting_words(job: ShopJob) -> str:
    """The metal that trim takes, as one line; empty where nothing is slit.

    One length for each width of coil, whatever it is slit for.
    """
    slitting, units = job.slitting, job.project.units
    lengths: dict[float, float] = {}
    for plan in slitting.plans:
        for width in plan.widths:
            lengths[width] = lengths.get(width, 0.0) + plan.coil_length(width)
    if not lengths:
        return ""
    coils = ", ".join(
        f"{_long(mm, units)} of coil {format_length(width, units)} wide"
        for width, mm in sorted(lengths.items(), reverse=True)
    )
    return (
        f"Trim to slit: {coils}, {_area(slitting.area, units)};"
        f" {slitting.waste * 100:.1f} % ends in no blank."
    )


def cut_words(kind: CutKind, units: Units) -> str:
    """What is cut from which coil, how much of it is enough, and what stays of its width."""
    said = f"Cut {kind.number}: {size_words(kind.length, units)} of coil"
    said += f" {size_words(kind.width, units)} wide"
    if kind.length - kind.enough > HEAL_MM:
        said += f", {size_words(kind.enough, units)} enough"
    if kind.rest > HEAL_MM:
        said += f"; {format_length(kind.rest, units)} of the width stays"
    return said


def size_words(mm: float, units: Units) -> str:
    """What is cut to, never shown as less than it is: a length that is no whole number of the
    lists' steps, as a whole stock length may be, with decimals.

    >>> size_words(3200.4, Units("metric")), size_words(3200.4, Units("feet", 8))
    ('3200.4 mm', '10\\'-6"')
    """
    said = format_length(mm, units)
    step = MM_PER_IN / units.fraction if units.system == "feet" else 1.0
    if abs(mm - round(mm / step) * step) <= _SHOWN_MM:
        return said
    if units.system == "feet":
        return f"{math.ceil(mm / MM_PER_IN * 1000.0 - _SHOWN_MM) / 1000.0:.3f} in"
    return f"{math.ceil(mm * 10.0 - _SHOWN_MM) / 10.0:.1f} mm"


def girth_words(strip: StripKind, units: Units) -> str:
    """How wide a strip is, and how many there are side by side."""
    girth = format_length(strip.girth, units)
    return girth if strip.count == 1 else f"{strip.count} × {girth}"


def lengths_words(strip: StripKind, units: Units) -> str:
    """Blanks end to end: "2 × 5'-0" + 4'-2""."""
    return " + ".join(
        size_words(b.length, units) if b.count == 1
        else f"{b.count} × {size_words(b.length, units)}"
        for b in strip.blanks
    )  # fmt: skip


def whose_words(strip: StripKind, units: Units) -> str:
    """Which blanks a strip gives, by their lengths."""
    return "; ".join(
        f"{size_words(b.length, units)}: {names_words(b.names)}" for b in strip.blanks
    )


def names_words(names: Iterable[tuple[str, int]]) -> str:
    """Names of blanks, each with its number of pieces; those of one part that come once share its
    name.

    >>> names_words([("Hip cap 1", 1), ("Hip cap 3", 1), ("Ridge cap", 4)])
    'Hip cap 1, 3; 4 × Ridge cap'
    """
    once: dict[str, list[str]] = {}
    said: list[str | tuple[str]] = []
    for name, n in names:
        part, number = part_of(name)
        if n > 1:
            said.append(f"{n} × {name}")
            continue
        if part not in once:
            said.append((part,))
        once.setdefault(part, []).append(number)
    return "; ".join(s if isinstance(s, str) else _numbered(s[0], once[s[0]]) for s in said)


def _numbered(part: str, numbers: list[str]) -> str:
    """A part with its numbers; the first drawing that a job released of it may have none."""
    some = ", ".join(n for n in numbers if n)
    return "; ".join(([part] if "" in numbers else []) + ([f"{part} {some}"] if some else []))


def part_of(name: str) -> tuple[str, str]:
    """The name of a blank as its part and its number, if it has one.

    >>> part_of("Hip cap 12"), part_of("Ridge cap")
    (('Hip cap', '12'), ('Ridge cap', ''))
    """
    found = re.fullmatch(r"(.*?)(?: (\d+))?", name)
    assert found is not None  # it matches anything
    return found[1], found[2] or ""


def _order(group: list[CoilCut]) -> tuple[object, ...]:
    """Wide coils first, then long cuts, then those with the widest strips; many cuts alike before
    few."""
    cut = group[0]
    girths = sorted(-round(s.girth, _EXACT) for s in cut.strips)
    return -cut.width, -cut.length, girths, -len(group), [_strip_key(s) for s in _sorted(cut)]


def _key_of(cut: CoilCut) -> tuple[object, ...]:
    return cut.width, cut.length, tuple(_strip_key(s) for s in _sorted(cut))


def _strip_key(strip: Strip) -> tuple[float, tuple[float, ...]]:
    """What tells strips apart; the widest and those with the longest blanks sort first."""
    return -round(strip.girth, _EXACT), tuple(-round(mm, _EXACT) for mm in strip.lengths)


def _sorted(cut: CoilCut) -> list[Strip]:
    return sorted(cut.strips, key=_strip_key)


def _kind(number: int, group: list[CoilCut], names: dict[Blank, str]) -> CutKind:
    """Cuts that are alike, as one."""
    cut = group[0]
    kinds: dict[object, list[Strip]] = {}
    for one in group:
        for strip in _sorted(one):
            kinds.setdefault(_strip_key(strip), []).append(strip)
    strips = []
    for some in kinds.values():
        first = some[0]
        blanks: dict[float, list[Blank]] = {}
        for strip in some:
            for blank, length in zip(strip.blanks, strip.lengths, strict=True):
                blanks.setdefault(round(length, _EXACT), []).append(blank)
        found = []
        for length, same in blanks.items():
            count = Counter(names[b] for b in same)
            called = tuple(sorted(count.items(), key=_named))
            found.append(BlankKind(len(same) // len(some), length, called))
        side_by_side = len(some) // len(group)
        strips.append(StripKind(side_by_side, first.girth, tuple(found), first.offcut))
    whole = cut.width, cut.length, cut.enough
    return CutKind(number, len(group), *whole, tuple(strips), cut.rest)


def _named(item: tuple[str, int]) -> tuple[str, int]:
    """By part, then by number."""
    part, number = part_of(item[0])
    return part, int(number or 0)


def _long(mm: float, units: Units) -> str:
    """A length of coil."""
    return f"{mm / MM_PER_FT:,.1f} ft" if units.system == "feet" else f"{mm / 1000.0:,.1f} m"


def _area(mm2: float, units: Units) -> str:
    if units.system == "feet":
        return f"{mm2 / MM2_PER_SQ_FT:,.0f} sq ft"
    return f"{mm2 / 1e6:,.1f} m²"
