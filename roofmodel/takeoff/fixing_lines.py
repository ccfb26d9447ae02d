"""Fasteners as goods: screws and clips of panels plane by plane, screws and rivets of trim."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from roofmodel.surface import EdgeId
from roofmodel.systems import RoofingSystem
from roofmodel.systems.fixing import TrimFixing
from roofmodel.takeoff.fixing_types import PlaneFixing, RowKind
from roofmodel.takeoff.formula import labelled, size, sum_of
from roofmodel.takeoff.goods import Use
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.takeoff.types import Quantity
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import format_length

PLANES = "Fasteners of each plane"
_SCREWS = (
    *("screws.field", "screws.edge", "screws.per_rib", "screws.ends_per_rib"),
    *("screws.end_distance", "screws.least_gap"),
)
_CLIPS = ("clips.field", "clips.edge", "clips.end_distance", "clips.least_gap")
_WORDS: Mapping[str, dict[RowKind, str]] = {
    "panel screw": {
        "lower end": "lower ends of ribs",
        "upper end": "upper ends of ribs",
        "end lap": "end laps",
        "field": "rows {} apart",
        "edge zone": "rows between them in edge zones",
    },
    "clip": {
        "lower end": "first clips of seams",
        "upper end": "last clips of seams",
        "end lap": "end laps",
        "field": "rows {} apart",
        "edge zone": "rows between them in edge zones",
    },
}


def stitches(fixing: PlaneFixing, case: Case) -> list[int]:
    """Stitch screws in each side lap of a plane: the first half a spacing from its end."""
    if fixing.fastener == "clip":
        return []
    spacing, _ = _stitch_rule(case)
    return [math.ceil(lap / spacing - COUNT_EPS) for lap in fixing.side_laps]


def _stitch_rule(case: Case) -> tuple[float, str]:
    """How far apart stitch screws stand on a plane, mm, and where that comes from."""
    rules = case.system.fixing.screws
    is_low = case.plane.slope < rules.low_slope - COUNT_EPS
    key = "screws.low_stitch" if is_low else "screws.stitch"
    return rules.low_stitch if is_low else rules.stitch, case.system.fixing.source_of(key)


def _rows_source(each: PlaneFixing, site: Site) -> str:
    """Where the rows of a plane come from."""
    fixing = site.cases[each.plane].system.fixing
    keys = _CLIPS if each.fastener == "clip" else _SCREWS
    in_zones = each.places_of("edge zone") > 0
    source = fixing.source_of(*(k for k in keys if in_zones or not k.endswith(".edge")))
    if not _on_battens(site):
        return source
    return "; ".join(dict.fromkeys((source, f"battens: {site.project.layers.batten.source}")))


def _on_battens(site: Site) -> bool:
    """Do rows stand on battens over an old roof?"""
    return site.project.work.old_roof.over == "re-cover"


def panel_uses(site: Site, fixings: Sequence[PlaneFixing]) -> list[Use]:
    """Screws or clips of the panels of each plane, and the clips' own screws."""
    out: list[Use] = []
    clips: dict[str, list[PlaneFixing]] = defaultdict(list)
    for each in fixings:
        case = site.cases[each.plane]
        fixing = case.system.fixing
        plane = (each.plane,)
        pack = fixing.pack_of(each.fastener)
        source = _rows_source(each, site)
        out.append(Use(each.fastener, pack, (each.count,), each.plane_name, source, plane))
        if each.fastener == "clip":
            clips[each.system].append(each)
        stitch, (_, source) = sum(stitches(each, case)), _stitch_rule(case)
        pack = fixing.pack_of("stitch screw")
        out.append(Use("stitch screw", pack, (stitch,), each.plane_name, source, plane))
    for system_id, some in clips.items():
        fixing = site.coverings.systems[system_id].fixing
        count = sum(f.count for f in some)
        pack, source = fixing.pack_of("pancake screw"), fixing.source_of("clips.screws")
        planes = tuple(f.plane for f in some)
        out.append(
            Use("pancake screw", pack, (fixing.clips.screws, count), "clips", source, planes)
        )
    return out


def trim_uses(trim: Sequence[TrimRun], systems: Mapping[str, RoofingSystem]) -> list[Use]:
    """Screws and rivets of the trim: runs of one part that take as many screws together."""
    parts: dict[tuple[str, str], list[TrimRun]] = defaultdict(list)
    for run in trim:
        parts[run.system, run.part].append(run)
    out = []
    for (system, part), runs in parts.items():
        fixing = systems[system].fixing
        rule = fixing.trim_of(runs[0].ruling_part)
        pack = fixing.pack_of(rule.screw)
        by_count: dict[int, list[TrimRun]] = defaultdict(list)
        for run in runs:
            by_count[screws_in_row(run, rule)].append(run)
        for count, some in by_count.items():
            factors = (len(some), rule.rows, count)
            out.append(Use(rule.screw, pack, factors, part, rule.source, (), edges_of(some)))
        lapped = [r for r in runs if r.pieces > 1]
        factors = (rule.rivets, sum(r.pieces - 1 for r in lapped), 1)
        label, pack = f"laps of {part}", fixing.pack_of("rivet")
        out.append(Use("rivet", pack, factors, label, rule.source, (), edges_of(lapped)))
    return out


def screws_in_row(run: TrimRun, rule: TrimFixing) -> int:
    """One at each end and one every spacing."""
    return math.ceil(run.length / rule.spacing - COUNT_EPS) + 1


def edges_of(runs: Sequence[TrimRun]) -> tuple[EdgeId, ...]:
    """The edges along which runs lie."""
    return tuple(dict.fromkeys(e for r in runs for e in r.edges))


def plane_lines(site: Site, fixings: Sequence[PlaneFixing]) -> list[Quantity]:
    """How the fasteners of each plane were counted, and where they stand."""
    return [line for f in fixings for line in _plane_lines(f, site)]


def _plane_lines(each: PlaneFixing, site: Site) -> list[Quantity]:
    case, units = site.cases[each.plane], site.units
    by_clips = each.fastener == "clip"
    words = _WORDS[each.fastener]
    terms = []
    for (kind, label), times in zip(words.items(), each.each, strict=True):
        places = each.places_of(kind)
        if places:
            label = label.format(size(each.spacing, units))
            terms.append(labelled(f"{places}" if times == 1 else f"{times} × {places}", label))
    note = "rows are counted from the one along the lowest end up"
    if _on_battens(site):
        note = "rows stand on the battens"
    if each.places_of("edge zone"):
        zone = format_length(each.zone, units)
        note += f"; {size(each.edge_spacing, units)} apart in edge zones, {zone} wide in plan"
    item = "Clips" if by_clips else "Panel screws"
    out = []
    if terms:
        source = _rows_source(each, site)
        out.append(
            Quantity(
                *(PLANES, f"{item} on {each.plane_name}", "count", each.count, sum_of(terms)),
                *(source, (each.plane,)),
                note=note,
            )
        )
    some = Counter(stitches(each, case))
    if some:
        total = sum(n * laps for n, laps in some.items())
        how = sum_of(
            labelled(f"{laps} × {n}", "side laps") if laps > 1 else labelled(f"{n}", "a side lap")
            for n, laps in sorted(some.items(), reverse=True)
        )
        spacing, source = _stitch_rule(case)
        note = f"{size(spacing, units)} apart, the first half of that from the end of its lap"
        item = f"Stitch screws on {each.plane_name}"
        out.append(Quantity(PLANES, item, "count", total, how, source, (each.plane,), note=note))
    return out
