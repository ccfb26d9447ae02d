"""Underlayment, membrane and deck sheets: what lies between the deck and the metal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Final

from roofmodel.surface import EdgeId, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.systems.layer_parts import Roll, Strip
from roofmodel.takeoff.courses import Band, Course, courses_of, over_of
from roofmodel.takeoff.decks import deck_case, decks_of
from roofmodel.takeoff.formula import area, fine_enough, labelled, rounded_up, size, sum_of
from roofmodel.takeoff.ice import IceCourses, ice_courses
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.site import Site, bought_in_rolls, summed
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.types import Quantity
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import MM2_PER_SQ_FT, LengthUnits, format_length, format_slope, round_half_up

UNDERLAYMENT: Final = "Goods: underlayment"
MEMBRANE: Final = "Goods: membrane"
DECK: Final = "Goods: deck"
STRIPS: Final = "Membrane along"
PATCHES: Final = "Membrane under pipe boots"

_REUSED = "what is cut off at the end of a course begins the next one"
_AROUND: Final = {EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE}


def layer_lines(site: Site) -> list[Quantity]:
    """All lines of underlayment, membrane and deck sheets."""
    ice = ice_courses(site)
    return [*_underlayment(site, ice), *_membrane(site, ice), *_deck(site)]


def _underlayment(site: Site, ice: Sequence[IceCourses]) -> list[Quantity]:
    """Per plane its courses, then what the job takes."""
    layers, work, units = site.project.layers, site.project.work, site.units
    roll = next((r for r in layers.underlayments if r.key == work.underlayment), None)
    if roll is None or not site.cases:
        return []
    bands: dict[PlaneId, list[Band]] = defaultdict(list)
    if work.less_under_membrane:
        for some in ice:
            left, low, right, high = some.band
            bands[some.plane].append((left, low, right, high - roll.head_lap))
    over = over_of(layers.over)
    lines, totals = [], []
    for plane, case in site.cases.items():
        if work.less_under_membrane and site.is_under_membrane(plane):
            continue
        lap, starter = roll.lap_at(case.plane.slope)
        courses = courses_of(case, over, roll.width, lap, tuple(bands[plane]))
        if not courses:
            continue
        terms = [*courses[:1], *courses] if starter else list(courses)
        total = sum(c.length for c in terms)
        note = f"{len(courses)} courses, lapped {size(lap, units)} up the slope"
        note += f", over a starter course {size(lap, units)} wide" if starter else ""
        lines.append(
            Quantity(
                *(UNDERLAYMENT, f"Courses on {case.plane.name}", "mm", total),
                *(_course_words(terms, units), roll.source, (plane,)),
                note=note,
            )
        )
        totals.append((total, case.plane.name, plane))
    if totals:
        item = roll.key[:1].upper() + roll.key[1:]
        how = summed(((t, name) for t, name, _ in totals), units)
        laid = sum(t for t, _, _ in totals)
        planes = tuple(plane for _, _, plane in totals)
        line = (UNDERLAYMENT, item, laid, how, f"{roll.source}; {layers.over_source}")
        lines.append(bought_in_rolls(line, roll, (planes, ()), _REUSED, units))
    return lines


def _course_words(courses: Iterable[Course], units: LengthUnits) -> str:
    """A sum of courses, those of one length together."""
    count: dict[str, int] = {}
    for course in courses:
        for a, b in course.spans:
            text = format_length(b - a, units)
            count[text] = count.get(text, 0) + 1
    return sum_of(text if n == 1 else f"{n} × {text}" for text, n in count.items())


def _membrane(site: Site, ice: Sequence[IceCourses]) -> list[Quantity]:
    """Per place where membrane lies, then what the job takes."""
    units, roll = site.units, site.project.layers.membrane
    lines = [*_ice_lines(ice, roll, units), *_strip_lines(site), *_patches(site)]
    lines += [*_low_lines(site), *_deck_lines(site), *_saddle_lines(site)]
    if not lines:
        return []
    total = sum(q.quantity for q in lines)
    how = summed(((q.quantity, q.item.removeprefix("Membrane ")) for q in lines), units)
    planes = tuple(dict.fromkeys(p for q in lines for p in q.planes))
    edges = tuple(dict.fromkeys(e for q in lines for e in q.edges))
    item = roll.key[:1].upper() + roll.key[1:]
    line = (MEMBRANE, item, total, how, roll.source)
    whole = bought_in_rolls(line, roll, (planes, edges), _REUSED, units)
    return [*_reach_lines(site, ice), *lines, whole]


def _ice_lines(ice: Sequence[IceCourses], roll: Roll, units: LengthUnits) -> list[Quantity]:
    terms: list[tuple[float, str]] = []
    for some in ice:
        for k, course in enumerate(some.courses):
            terms.append((course.length, f"{some.edge.name}, course {k + 1}"))
    if not terms:
        return []
    return [
        Quantity(
            *(MEMBRANE, "Membrane at the eaves, ice barrier", "mm", sum(t for t, _ in terms)),
            *(summed(terms, units), ice[0].source),
            *(tuple(dict.fromkeys(s.plane for s in ice)), tuple(s.edge.id for s in ice)),
            note=f"courses of {size(roll.width, units)}, lapped {size(roll.head_lap, units)}",
        )
    ]


def _reach_lines(site: Site, ice: Sequence[IceCourses]) -> list[Quantity]:
    """How far the ice barrier reaches up the slope, once for eaves alike."""
    alike: dict[str, list[IceCourses]] = defaultdict(list)
    for some in ice:
        alike[some.how].append(some)
    out = []
    for how, group in alike.items():
        names = ", ".join(s.edge.name for s in group)
        out.append(
            Quantity(
                *(MEMBRANE, f"Ice barrier up the slope from {names}", "mm", group[0].reach, how),
                *(group[0].source, tuple(s.plane for s in group)),
                tuple(s.edge.id for s in group),
                note=group[0].note,
            )
        )
    return out


def _strip_lines(site: Site) -> list[Quantity]:
    """Strips along edges, kind after kind."""
    layers, units = site.project.layers, site.units
    by_kind: dict[EdgeKind, list[RoofEdge]] = defaultdict(list)
    for edge in site.covered_edges:
        if not site.coverings.is_pipe(edge):
            by_kind[trim_kind(edge)].append(edge)
    out = []
    for kind in EdgeKind:
        strip, edges = layers.strips.get(kind), by_kind.get(kind, [])
        if strip is None or not edges:
            continue
        beside = strips_beside(layers.membrane, strip)
        terms = summed(((e.length, e.name) for e in edges), units)
        more = 2.0 * len(edges) * strip.at_ends
        if more:
            terms += f" + {2 * len(edges)} × {labelled(size(strip.at_ends, units), 'ends')}"
        how = terms
        if beside > 1:
            how = f"({terms}) ÷ {labelled(str(beside), 'strips in the width of a roll')}"
        what = f"{kind}s around openings" if kind in _AROUND else f"{kind}s"
        out.append(
            Quantity(
                *(MEMBRANE, f"{STRIPS} {what}", "mm"),
                *((sum(e.length for e in edges) + more) / beside, how, strip.source),
                *((), tuple(e.id for e in edges)),
                note=f"strips {size(strip.width, units)} wide",
            )
        )
    return out


def strips_beside(roll: Roll, strip: Strip) -> int:
    """How many strips lie side by side in the width of a roll."""
    return max(1, int(roll.width / strip.width + COUNT_EPS))


def _patches(site: Site) -> list[Quantity]:
    """A patch below each pipe's boot."""
    layers, units = site.project.layers, site.units
    around: dict[str, list[EdgeId]] = defaultdict(list)
    for edge in site.covered_edges:
        if site.coverings.is_pipe(edge):
            around[str(edge.id.second).removeprefix("opening ")].append(edge.id)
    names = {o.id: o.name for o in site.project.openings()}
    if not around or layers.pipe_patch <= 0.0:
        return []
    patch = size(layers.pipe_patch, units)
    how = sum_of(labelled(patch, names.get(pipe, pipe)) for pipe in around)
    ids = tuple(e for some in around.values() for e in some)
    total = layers.pipe_patch * len(around)
    return [Quantity(MEMBRANE, PATCHES, "mm", total, how, layers.patch_source, (), ids)]


def _low_lines(site: Site) -> list[Quantity]:
    """Planes that take membrane all over."""
    roll, units = site.project.layers.membrane, site.units
    terms, planes = [], []
    for plane, case in site.cases.items():
        if site.is_under_membrane(plane):
            courses = courses_of(case, (), roll.width, roll.head_lap)
            terms.append((sum(c.length for c in courses), case.plane.name))
            planes.append(plane)
    if not terms:
        return []
    under = format_slope(site.project.layers.low_slope)
    item = f"Membrane all over planes under {under}"
    total = sum(t for t, _ in terms)
    how = summed(terms, units)
    return [Quantity(MEMBRANE, item, "mm", total, how, roll.source, tuple(planes))]


def _deck_lines(site: Site) -> list[Quantity]:
    """Decks: membrane all over, whatever else takes it."""
    roll, units = site.project.layers.membrane, site.units
    terms, planes = [], []
    for deck in decks_of(site):
        courses = courses_of(deck_case(site, deck), (), roll.width, roll.head_lap)
        terms.append((sum(c.length for c in courses), deck.name))
        planes.append(deck.id)
    if not terms:
        return []
    total, how = sum(t for t, _ in terms), summed(terms, units)
    item, note = "Membrane all over flat decks", "strips along the longer side of each"
    return [Quantity(MEMBRANE, item, "mm", total, how, roll.source, tuple(planes), note=note)]


def _saddle_lines(site: Site) -> list[Quantity]:
    """Membrane all over the two small planes behind a chimney."""
    roll, units = site.project.layers.membrane, site.units
    edges = {e.id: e for e in site.surface.edges}
    terms, planes = [], []
    for plane in site.covered:
        system = site.coverings.system_of(plane)
        if plane.id in site.cases or plane.slope == 0.0 or system is None:
            continue
        around = [edges[i] for i in plane.edges if i in edges]
        courses = courses_of(Case(plane, around, system), (), roll.width, roll.head_lap)
        terms.append((sum(c.length for c in courses), plane.name))
        planes.append(plane.id)
    if not terms:
        return []
    total, how = sum(t for t, _ in terms), summed(terms, units)
    item = "Membrane all over saddles"
    return [Quantity(MEMBRANE, item, "mm", total, how, roll.source, tuple(planes))]


def _deck(site: Site) -> list[Quantity]:
    """Deck sheets as an allowance of the deck's area."""
    sheet, share = site.project.layers.sheet, site.project.work.old_roof.deck_share
    if share <= 0.0 or not site.covered or site.project.work.old_roof.over == "re-cover":
        return []
    units, whole = site.units, sum(p.true_area for p in site.covered)
    percent = f"{share * 100:.4f}".rstrip("0").rstrip(".")
    total = whole * float(percent) / 100.0
    one = f"({size(sheet.width, units)} × {size(sheet.length, units)})"
    packs = rounded_up(total / (sheet.width * sheet.length))

    def printed(finer: int) -> tuple[str, float]:
        text = area(whole, units, 2 * finer)
        unit = MM2_PER_SQ_FT if units.system == "feet" else 1e6
        places = (2 if units.system == "feet" else 3) + 2 * finer
        value = round_half_up(whole / unit * 10**places) / 10**places * unit
        value *= float(percent) / 100.0 / (sheet.width * sheet.length)
        return f"{labelled(text, 'deck')} × {percent} % ÷ {one} rounded up", rounded_up(value)

    return [
        Quantity(
            *(DECK, "Deck to replace, allowance", "mm²", total),
            f"{labelled(area(whole, units), 'deck')} × {percent} %",
            sheet.source,
            tuple(p.id for p in site.covered),
            note=f"sheets are laid with gaps of {size(sheet.gap, units)}",
            key=sheet.key,
            packs=packs,
            pack=f"sheet, {size(sheet.width, units)} by {size(sheet.length, units)}",
            pack_how=fine_enough(printed, packs),
        )
    ]
