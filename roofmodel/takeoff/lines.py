"""The take-off's lines: what, how much, and how it came about."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from roofmodel.surface import Plane, RoofEdge, Surface
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff.panels import panels_of
from roofmodel.takeoff.trim import trim_kind, trim_of
from roofmodel.takeoff.types import Panel, Quantity, TakeOff, TrimRun
from roofmodel.units import (
    MM2_PER_SQUARE,
    LengthUnits,
    format_area,
    format_length,
    format_slope,
)

_GEOMETRY = "geometry of the roof"
_SHORT_PANEL_MM = 304.8
"""A panel shorter than 12 in is worth a word: common practice, no source."""


def take_off(surface: Surface, system: RoofingSystem, units: LengthUnits) -> TakeOff:
    """Count panels and trim of a roof; `units` only shape the words of the explanations."""
    edges = {e.id: e for e in surface.edges}
    panels: list[Panel] = []
    for plane in surface.planes:
        panels += panels_of(plane, [edges[i] for i in plane.edges], system)
    trim = trim_of(surface, system, units)
    quantities = [
        *_areas(surface, units),
        *_lengths(surface, units),
        *_panel_lines(surface, panels, system, units),
        *_trim_lines(trim, system, surface, units),
    ]
    return TakeOff(tuple(panels), trim, tuple(quantities), _warnings(surface, panels, units))


def _sum(terms: Sequence[str]) -> str:
    return " + ".join(terms)


def _areas(surface: Surface, units: LengthUnits) -> list[Quantity]:
    planes = surface.planes
    ids = tuple(p.id for p in planes)
    true_area = sum(p.true_area for p in planes)
    plan_area = sum(p.plan_area for p in planes)
    terms = _sum([f"{p.name} {format_area(p.true_area, units)}" for p in planes])
    if not planes:
        return []
    out = [
        Quantity("Roof", "Roof area", "mm²", true_area, terms, _GEOMETRY, ids),
        Quantity(
            "Roof",
            "Roof squares",
            "squares",
            true_area / MM2_PER_SQUARE,
            f"{format_area(true_area, units)} ÷ 100 sq ft",
            _GEOMETRY,
            ids,
        ),
        Quantity(
            "Roof",
            "Plan area",
            "mm²",
            plan_area,
            _sum([f"{p.name} {format_area(p.plan_area, units)}" for p in planes]),
            _GEOMETRY,
            ids,
        ),
    ]
    for p in planes:
        factor = p.true_area / p.plan_area
        out.append(
            Quantity(
                "Planes",
                f"{p.name}, {_pitch(p)}",
                "mm²",
                p.true_area,
                f"plan {format_area(p.plan_area, units)} × slope factor {factor:.6f}",
                "slope factor √(1 + (rise/run)²)",
                (p.id,),
            )
        )
    return out


def _pitch(plane: Plane) -> str:
    return "flat" if plane.slope == 0.0 else format_slope(plane.slope)


def _lengths(surface: Surface, units: LengthUnits) -> list[Quantity]:
    by_kind: dict[EdgeKind, list[RoofEdge]] = defaultdict(list)
    for e in surface.edges:
        by_kind[e.kind].append(e)
    out = []
    for kind in EdgeKind:
        edges = by_kind.get(kind, [])
        if edges:
            out.append(
                Quantity(
                    "Edges",
                    f"{kind.capitalize()}, all",
                    "mm",
                    sum(e.length for e in edges),
                    _sum([f"{e.name} {format_length(e.length, units)}" for e in edges]),
                    _GEOMETRY,
                    (),
                    tuple(e.id for e in edges),
                )
            )
    for kind in EdgeKind:
        for e in by_kind.get(kind, []):
            rise, run = abs(e.end[2] - e.start[2]), (e.length**2 - (e.end[2] - e.start[2]) ** 2)
            how = (
                f"√(plan {format_length(max(run, 0.0) ** 0.5, units)}²"
                f" + rise {format_length(float(rise), units)}²), bend {abs(e.fold):.1f}°"
            )
            out.append(
                Quantity("Each edge", e.name, "mm", e.length, how, _GEOMETRY, e.planes, (e.id,))
            )
    return out


def _panel_lines(
    surface: Surface, panels: Sequence[Panel], system: RoofingSystem, units: LengthUnits
) -> list[Quantity]:
    if not panels:
        return []
    by_plane: dict[str, list[Panel]] = defaultdict(list)
    for p in panels:
        by_plane[p.plane_name].append(p)
    planes = tuple(dict.fromkeys(p.plane for p in panels))
    net, gross = sum(p.net_area for p in panels), sum(p.gross_area for p in panels)
    length = sum(p.length for p in panels)
    source = f"{system.name}: {system.source}"
    cover = format_length(system.coverage, units)
    group = f"Panels: {system.name}"
    out = [
        Quantity(
            group,
            "Panels, all",
            "count",
            len(panels),
            _sum([f"{name} {len(some)}" for name, some in by_plane.items()]),
            source,
            planes,
        ),
        Quantity(
            group,
            "Panel length, all",
            "mm",
            length,
            _sum(
                [
                    f"{n} {format_length(sum(p.length for p in s), units)}"
                    for n, s in by_plane.items()
                ]
            ),
            source,
            planes,
        ),
        Quantity(
            group,
            "Metal, gross",
            "mm²",
            gross,
            f"{format_length(length, units)} of panel × {cover} coverage",
            source,
            planes,
        ),
        Quantity(
            group,
            "Metal, net",
            "mm²",
            net,
            "panel field of every plane: the plane with its sides moved by the system's shifts",
            source,
            planes,
        ),
        Quantity(
            group,
            "Cut to waste",
            "share",
            1.0 - net / gross,
            f"1 − {format_area(net, units)} ÷ {format_area(gross, units)}",
            source,
            planes,
        ),
    ]
    for plane in surface.planes:
        some = by_plane.get(plane.name)
        if some:
            width = format_length(some[0].field_width, units)
            how = f"metal {width} wide ÷ {cover} coverage, cut to: " + _sum(cut_list(some, units))
            out.append(
                Quantity(
                    group, f"Panels on {plane.name}", "count", len(some), how, source, (plane.id,)
                )
            )
    return out


def cut_list(panels: Sequence[Panel], units: LengthUnits) -> list[str]:
    """Quantity × cut length of some panels, longest first, as words: ``4 × 13'-5"``.

    Lengths are rounded only here, to the fraction shown.
    """
    count: dict[str, int] = {}
    for p in sorted(panels, key=lambda p: -p.length):
        text = format_length(p.length, units)
        count[text] = count.get(text, 0) + 1
    return [f"{n} × {text}" for text, n in count.items()]


def _trim_lines(
    trim: Sequence[TrimRun], system: RoofingSystem, surface: Surface, units: LengthUnits
) -> list[Quantity]:
    kinds = {e.id: trim_kind(e) for e in surface.edges}
    by_part: dict[tuple[str, float, str], list[TrimRun]] = defaultdict(list)
    for run in trim:
        source = system.trim[kinds[run.edges[0]]].source
        by_part[run.part, run.stock_length, source].append(run)
    out = []
    for (part, stock, source), runs in by_part.items():
        how = _sum([f"{r.pieces} for {r.edge_name} ({r.how})" for r in runs])
        out.append(
            Quantity(
                "Trim",
                f"{part.capitalize()}, {format_length(stock, units)} long",
                "count",
                sum(r.pieces for r in runs),
                how,
                source,
                (),
                tuple(e for r in runs for e in r.edges),
            )
        )
    return out


def _warnings(surface: Surface, panels: Sequence[Panel], units: LengthUnits) -> tuple[str, ...]:
    out = [f"{e.name}: {e.remark}" for e in surface.edges if e.remark]
    out += [f"{p.name} is flat and takes no panels." for p in surface.planes if p.slope == 0.0]
    out += [
        f"{p.plane_name}: panel {p.number} is only {format_length(p.length, units)} long; see"
        " whether trim or the next panel covers that corner."
        for p in panels
        if p.length < _SHORT_PANEL_MM
    ]
    return tuple(out)
