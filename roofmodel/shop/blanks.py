"""The flat blank of every piece of trim: its true outline, its bend lines and its end cuts.

A blank lies with its colour side up: x across it, from the border on the first plane, 0 to the
girth; y along the run, 0 at its lowest corner. Ends are cut where the bent part meets the planes
of its joints (`roofmodel.shop.joints`): every point across the blank is bent to its place on the
colour side, and cut where the plane passes there. Rounds are cut along chords.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from roofmodel.document import Project
from roofmodel.errors import DocumentError
from roofmodel.parts import Folded, folded
from roofmodel.shop.ends import EndLine, cut_along, end_line
from roofmodel.shop.joints import EndKind, Joint, joint_at, met_on_the_way, remark_words
from roofmodel.shop.lines import Line, Roof
from roofmodel.shop.outlines import corners_of
from roofmodel.shop.remarks import bent_off_line, past_stock, too_flat_words
from roofmodel.surface import Surface
from roofmodel.systems import EdgeKind, RoofingSystem, TrimProfile, TrimRule
from roofmodel.takeoff.trim import cut_unit, cuts_for
from roofmodel.takeoff.trim_sides import section_of
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.tolerance import LEVEL_SLOPE
from roofmodel.units import LengthUnits, format_length

Array = NDArray[np.float64]

_ALIKE_MM: Final = 0.2
_ALIKE_DEG: Final = 0.1
_TOO_LONG_MM: Final = 0.5

_CUT_LAP = "the piece that laps it is shorter than the cut of its end: its own lap is cut along it"


@dataclass(frozen=True, slots=True)
class BlankBend:
    """A bend line on a blank from (x, y) to (x, y), mm. `angle` is the deviation from flat and
    `included` 180 less it, degrees; "down" is away from the colour side."""

    start: tuple[float, float]
    end: tuple[float, float]
    angle: float
    included: float
    direction: str
    inside_radius: float
    between: tuple[str, str]


@dataclass(frozen=True, slots=True)
class BlankEnd:
    """How an end is cut. `first` and `second` are degrees between the cut and a square one on the
    outermost leg of each side, positive where it takes metal off towards that border."""

    kind: EndKind
    first: float
    second: float
    lap: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Blank:
    """One piece of a run, flat.

    `outline` is (n, 2), mm, counter-clockwise, the first corner not repeated; `area` mm².
    `length` is along the run at the part's apex, `cut_length` what is cut from stock; `begins`
    is where y = 0 lies, mm from the start of the run's line. `number` of `count` pieces counts
    along the line.
    """

    run: TrimRun
    number: int
    count: int
    profile: TrimProfile
    fold: float
    girth: float
    length: float
    cut_length: float
    begins: float
    outline: Array
    bends: tuple[BlankBend, ...]
    start: BlankEnd
    end: BlankEnd
    area: float
    remark: str = ""

    @property
    def name(self) -> str:
        """The part, where it goes and which piece it is."""
        part = self.run.part[:1].upper() + self.run.part[1:]
        piece = f", piece {self.number} of {self.count}" if self.count > 1 else ""
        return f"{part} on {self.run.edge_name}{piece}"


@dataclass(frozen=True, slots=True)
class Blanks:
    """All blanks of a job, in the order of its runs, and what could not be made, in sentences;
    `left_out` are those of runs that have none, because the roof bends too little there."""

    blanks: tuple[Blank, ...]
    remarks: tuple[str, ...]
    left_out: tuple[str, ...] = ()


def blanks_of(project: Project, surface: Surface, runs: Sequence[TrimRun]) -> Blanks:
    """The blanks of these runs, bent as the project's cross-sections say."""
    parts = {p.name: p for p in project.parts}
    roof = Roof(surface)
    out: list[Blank] = []
    remarks: dict[str, None] = {}
    left_out: list[str] = []
    for run in runs:
        profile = section_of(run, parts)
        if profile is None:
            remarks[f"There is no cross-section for the part '{run.part}'; add one."] = None
            continue
        line = roof.line_of(run)
        if profile.too_flat(line.fold):
            left_out.append(too_flat_words(run.part, run.edge_name, line.fold))
            continue
        try:
            bent = folded(profile, line.fold)
        except DocumentError as error:
            remarks[str(error)] = None
            continue
        system = next((s for s in project.systems() if s.id == run.system), None)
        rule, shifts = _rule(system, run), system.shifts if system is not None else {}
        on_both = len({leg.on for leg in profile.legs if leg.on}) == 2
        first, last = (
            joint_at(roof, line, rule, at_end=at_end, on_both=on_both, shifts=shifts)
            for at_end in (False, True)
        )
        met = met_on_the_way(roof, line)
        out += _pieces(line, bent, first, last, met, project.units)
    return Blanks(tuple(out), tuple(remarks), tuple(left_out))


def alike(blanks: Sequence[Blank]) -> list[list[Blank]]:
    """Blanks that are cut, bent and treated alike together, in the order they first come. One that
    lies turned end for end is the same where its section reads the same from both borders."""
    groups: list[list[Blank]] = []
    by_part: dict[TrimProfile, list[list[Blank]]] = {}
    for blank in blanks:
        some = by_part.setdefault(blank.profile, [])
        group = next((g for g in some if _is_alike(g[0], blank)), None)
        if group is None:
            group = []
            some.append(group)
            groups.append(group)
        group.append(blank)
    return groups


def _is_alike(one: Blank, two: Blank) -> bool:
    if one.remark != two.remark:
        return False
    if abs(one.girth - two.girth) > _ALIKE_MM or abs(one.area - two.area) > _ALIKE_MM * one.girth:
        return False
    first, second = _bend_rows(one), _bend_rows(two)
    if _same(first, second) and _covers(one.outline, two.outline):
        return True
    turned = (two.girth, float(two.outline[:, 1].max())) - two.outline
    return _same(first, second[::-1]) and _covers(one.outline, turned)


def _bend_rows(blank: Blank) -> list[float]:
    """Its bends along the run, from the first border to the second; degrees, up positive."""
    along = sorted((b for b in blank.bends if b.start[0] == b.end[0]), key=lambda b: b.start[0])
    return [b.angle if b.direction == "up" else -b.angle for b in along]


def _same(one: Sequence[float], two: Sequence[float]) -> bool:
    return len(one) == len(two) and all(
        abs(a - b) <= _ALIKE_DEG for a, b in zip(one, two, strict=True)
    )


def _covers(one: Array, two: Array) -> bool:
    """Do two outlines cover each other but for what no one can cut?"""
    apart = shapely.Polygon(one).symmetric_difference(shapely.Polygon(two)).area
    return bool(apart <= _ALIKE_MM * float(np.ptp(one[:, 0])))


def _rule(system: RoofingSystem | None, run: TrimRun) -> TrimRule | None:
    """The rule that a run was counted by."""
    if system is None:
        return None
    kinds = (run.kind, EdgeKind.HIP, EdgeKind.VALLEY)  # a sloping transition is trimmed as those
    rules = (r for k in kinds for r in system.trim.get(k, ()) if r.part == run.ruling_part)
    return next(rules, None)


def _pieces(
    line: Line,
    bent: Folded,
    first: Joint,
    last: Joint,
    met: Sequence[tuple[float, str]],
    units: LengthUnits,
) -> list[Blank]:
    """The blanks of one run, from its start to its end; `met` is what runs into it, where."""
    run, begin, finish = line.run, -first.extra, line.length + last.extra
    before = begin - end_line(line, bent, first, begin, at_end=False).lowest
    after = end_line(line, bent, last, finish, at_end=True).highest - finish
    before, after = (x if x > _TOO_LONG_MM else 0.0 for x in (before, after))
    cuts, longer = run.cuts, ""
    more = finish - begin + before + after - run.covered
    if more > _TOO_LONG_MM:
        cuts = cuts_for(run.covered + more, run.stock_length, run.lap, cut_unit(units))
        longer = f"the run takes {format_length(more, units)} more than the cutting list has"
        if before + after > 0.0:
            longer += ": the corners of its ends reach past its line"
    out = []
    whole_start = end_line(line, bent, first, begin, at_end=False)
    whole_end = end_line(line, bent, last, finish, at_end=True)
    inner = Joint("lap" if run.lap > 0.0 else "square")
    spans = _spans(cuts, run.lap, begin - before, finish + after, falls=_falls(line))
    for k, (low, high, cut) in enumerate(spans):
        at_start, at_finish = k == 0, k + 1 == len(spans)
        low, high = begin if at_start else low, finish if at_finish else high
        nothing = cut_lap = ""
        start, end = whole_start, whole_end
        if not at_start:
            start = end_line(line, bent, inner, low, at_end=False)
            if (shorter := cut_along(start, whole_start, at_end=False)) is not None:
                start, cut_lap = shorter, _CUT_LAP
        if not at_finish:
            end = end_line(line, bent, inner, high, at_end=True)
            if (shorter := cut_along(end, whole_end, at_end=True)) is not None:
                end, cut_lap = shorter, _CUT_LAP
        if not _leave_a_piece(bent, start, end):
            nothing = "the cuts of its ends leave nothing of it: it is cut square, fit it there"
            start = end_line(line, bent, Joint(), low, at_end=False)
            end = end_line(line, bent, Joint(), high, at_end=True)
        made = _blank(line, bent, start, end)
        remarks = [
            made.remark,
            nothing,
            cut_lap,
            longer,
            *(words for at, words in met if low < at < high),
        ]
        remarks += [first.remark, whole_start.remark] if at_start else []
        remarks += [last.remark, whole_end.remark] if at_finish else []
        if not bent.profile.folds[0] <= bent.fold <= bent.profile.folds[1]:
            remarks.append("the roof's fold here is outside what the cross-section is made for")
        remarks.append(bent_off_line(bent.profile, bent.fold, units))
        over = float(made.outline[:, 1].max()) - run.stocks[-1]
        remarks.append(past_stock(over, units))
        out.append(
            replace(
                made,
                number=k + 1,
                count=len(spans),
                length=high - low,
                cut_length=cut,
                start=_told(start, run.lap, at_end=False),
                end=_told(end, run.lap, at_end=True),
                remark=remark_words("; ".join(dict.fromkeys(r for r in remarks if r)), units),
            )
        )
    return out


def _falls(line: Line) -> bool:
    """Does the run go down along its line? Then its first piece lies at its end."""
    return float(line.along[2]) < -LEVEL_SLOPE


def _spans(
    cuts: Sequence[float], lap: float, begin: float, finish: float, *, falls: bool
) -> list[tuple[float, float, float]]:
    """Where each piece begins and ends on the line and what it is cut to, mm. Pieces go from the
    lower end up; the last one ends with the run, however much longer it was counted."""
    whole = finish - begin
    spans, at = [], 0.0
    for cut in cuts:
        spans.append((at, at + cut, cut))
        at += cut - lap
    low = min(spans[-1][0], max(0.0, whole - cuts[-1] / 2.0))
    spans[-1] = (low, whole, cuts[-1])
    if falls:
        spans = [(whole - b, whole - a, cut) for a, b, cut in reversed(spans)]
    return [(begin + a, begin + b, cut) for a, b, cut in spans]


def _blank(line: Line, bent: Folded, start: EndLine, end: EndLine) -> Blank:
    """The blank between two end lines, not yet numbered."""
    outline = np.vstack([start.points, end.points[::-1]])
    remark = ""
    shape = shapely.Polygon(outline)
    if not (
        shape.is_valid and shape.exterior.is_ccw
    ):  # the cuts of both ends meet before the border
        shape = _between(bent, start, end)
        outline = np.array(shape.exterior.coords)[:-1]
        remark = "its end cuts meet before its border; it ends in a point there"
    low = float(outline[:, 1].min())
    outline = corners_of(outline - (0.0, low))
    bends = []
    for b in bent.bends:
        reach = _reach(b.at, start, end) if not remark else _reach_in(shape, b.at)
        if reach is not None:
            bends.append(
                BlankBend((b.at, reach[0] - low), (b.at, reach[1] - low), b.angle, b.included,
                          b.direction, b.inside_radius, b.between)
            )  # fmt: skip
    for tab in (*start.tabs, *end.tabs):
        across = [tab.first, tab.last]
        if remark:
            clipped = _longest(shape.intersection(shapely.LineString(across)))
            if clipped is None:
                continue
            across = [(x, y) for x, y in clipped.coords]
        (x0, y0), (x1, y1) = across
        bends.append(
            BlankBend((x0, y0 - low), (x1, y1 - low), 90.0, 90.0, tab.direction,
                      bent.profile.metal.inside_radius, (tab.leg, tab.what))
        )  # fmt: skip
    square = BlankEnd("square", 0.0, 0.0)
    return Blank(line.run, 0, 0, bent.profile, bent.fold, bent.girth, 0.0, 0.0, low, outline,
                 tuple(bends), square, square, shapely.Polygon(outline).area, remark)  # fmt: skip


def _reach(at: float, start: EndLine, end: EndLine) -> tuple[float, float] | None:
    """From where to where the blank reaches at `at` mm across it."""
    low, high = (float(np.interp(at, e.points[:, 0], e.points[:, 1])) for e in (start, end))
    return (low, high) if low < high else None


def _reach_in(shape: shapely.Polygon, at: float) -> tuple[float, float] | None:
    """The same for one whose ends meet."""
    _, low, _, high = shape.bounds
    found = _longest(shape.intersection(shapely.LineString([(at, low - 1.0), (at, high + 1.0)])))
    return None if found is None else (found.bounds[1], found.bounds[3])


def _longest(found: shapely.Geometry) -> shapely.LineString | None:
    """The longest line of what was found, if there is any."""
    lines = [g for g in shapely.get_parts(found) if g.length > 0.0]
    return max(lines, key=lambda g: g.length, default=None)


def _leave_a_piece(bent: Folded, start: EndLine, end: EndLine) -> bool:
    """Does anything lie above the start line and below the end line?"""
    at = np.union1d(start.points[:, 0], end.points[:, 0])
    low, high = (np.interp(at, e.points[:, 0], e.points[:, 1]) for e in (start, end))
    open_at = high - low > _TOO_LONG_MM
    return bool((open_at[1:] & open_at[:-1]).any())


def _between(bent: Folded, start: EndLine, end: EndLine) -> shapely.Polygon:
    """What lies above the start line and below the end line; the largest piece of it."""
    top, bottom = (
        max(start.highest, end.highest) + 1000.0, min(start.lowest, end.lowest) - 1000.0
    )  # fmt: skip
    above = shapely.Polygon([*start.points.tolist(), (bent.girth, top), (0.0, top)])
    below = shapely.Polygon([*end.points.tolist(), (bent.girth, bottom), (0.0, bottom)])
    both = shapely.make_valid(above).intersection(shapely.make_valid(below))
    pieces = [g for g in shapely.get_parts(both) if g.geom_type == "Polygon"]
    largest: shapely.Polygon = shapely.orient_polygons(max(pieces, key=lambda g: g.area))
    return largest


def _told(cut: EndLine, lap: float, *, at_end: bool) -> BlankEnd:
    """An end in words and degrees."""
    outwards = -1.0 if at_end else 1.0
    first, second = (
        math.degrees(math.atan(outwards * slope)) + 0.0
        for slope in (cut.first_slope, cut.second_slope)
    )
    return BlankEnd(cut.kind, first, second, lap if cut.kind in ("lap", "cut lap") else 0.0)
