"""The take-off's lines: what, how much, and how it came about."""

from __future__ import annotations

import dataclasses
from collections import defaultdict
from collections.abc import Sequence

from roofmodel.document import Project
from roofmodel.surface import Plane, Surface
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.openings import is_saddle, opening_lines
from roofmodel.takeoff.panels import panels_of
from roofmodel.takeoff.totals import (
    GEOMETRY,
    Part,
    area_lines,
    length_lines,
    panel_lines,
    panels_by_plane,
    sum_of,
    system_totals,
    trim_lines,
)
from roofmodel.takeoff.trim import trim_of
from roofmodel.takeoff.types import Panel, Quantity, TakeOff
from roofmodel.units import LengthUnits, format_area, format_length, format_slope

_SHORT_PANEL_MM = 304.8
"""A panel shorter than 12 in is worth a word: common practice, no source."""


def take_off(surface: Surface, project: Project) -> TakeOff:
    """Count panels and trim of a roof, each plane by its covering in the project.

    Planes that are not in the job count in nothing, nor do edges that only they have. Planes
    under another covering count with their areas and edge lengths. The project's units only
    shape the words of the explanations.
    """
    coverings, units = Coverings.of(surface, project), project.units
    edges = {e.id: e for e in surface.edges}
    panels: list[Panel] = []
    for plane in surface.planes:
        system = coverings.system_of(plane)
        if system is not None and not is_saddle(plane, project):
            around = [edges[i] for i in plane.edges if i in edges]
            # panels run up to a pipe: its boot stands on them
            panels += panels_of(plane, [e for e in around if not coverings.is_pipe(e)], system)
    counted = tuple(e for e in surface.edges if e.id in coverings.edges)
    job = Part(
        tuple(p for p in surface.planes if coverings.is_in_job(p)),
        counted,
        tuple(panels),
        trim_of(counted, coverings, units),
    )
    lines = [
        *area_lines(job, "Roof", units),
        *_buildings(job, coverings, units),
        *_by_covering(job, coverings, units),
        *_planes(job, units),
        *length_lines(job, "Edges", coverings, units),
        *_each_edge(job, coverings, units),
        *_systems(job, coverings, units),
        *opening_lines(job.planes, job.edges, project, units),
    ]
    return TakeOff(
        job.panels,
        job.trim,
        tuple(_placed(q, coverings) for q in lines),
        _warnings(job, coverings, units),
        {p: owner.covering for p, owner in coverings.planes.items()},
        frozenset(coverings.edges),
    )


def _placed(line: Quantity, coverings: Coverings) -> Quantity:
    """The line with the one building and the one covering it belongs to."""
    owners = {coverings.edges[e] for e in line.edges}
    owners = owners or {coverings.planes[p] for p in line.planes}
    buildings = {coverings.buildings[o.building] for o in owners}
    names = {coverings.names[o.covering] for o in owners}
    return dataclasses.replace(
        line,
        building=buildings.pop() if len(buildings) == 1 else "",
        covering=names.pop() if len(names) == 1 else "",
    )


def _buildings(job: Part, coverings: Coverings, units: LengthUnits) -> list[Quantity]:
    """Totals per building, where the job has several."""
    used = {coverings.planes[p.id].building for p in job.planes}
    if len(used) < 2:
        return []
    out = []
    for building, name in coverings.buildings.items():
        if building not in used:
            continue
        group = f"Building: {name}"
        part = job.only(coverings, building=building)
        out += area_lines(part, group, units)
        out += length_lines(part, group, coverings, units)
        for system in coverings.systems.values():
            after = f", {coverings.names[system.id]}" if _has_several_systems(job) else ""
            panels = [p for p in part.panels if p.system == system.id]
            out += panel_lines(panels, system, group, after, units)
            trim = [t for t in part.trim if t.system == system.id]
            out += trim_lines(trim, group, after, units)
    return out


def _by_covering(job: Part, coverings: Coverings, units: LengthUnits) -> list[Quantity]:
    """Totals of areas and lengths per covering, where the job has several."""
    used = {coverings.planes[p.id].covering for p in job.planes}
    if len(used) < 2:
        return []
    out = []
    for covering, name in coverings.names.items():
        if covering in used:
            group = f"Covering: {name}"
            part = job.only(coverings, covering=covering)
            out += area_lines(part, group, units)
            out += length_lines(part, group, coverings, units)
    return out


def _systems(job: Part, coverings: Coverings, units: LengthUnits) -> list[Quantity]:
    """Panels and trim, system after system."""
    several = _has_several_systems(job)
    out = system_totals(job, coverings, units) if several else []
    planes = {p.id: p for p in job.planes}
    for system in coverings.systems.values():
        group = f"Panels: {coverings.names[system.id]}"
        panels = [p for p in job.panels if p.system == system.id]
        lines = panel_lines(panels, system, group, "", units)
        out += lines
        cover = format_length(system.coverage, units)
        for plane, some in panels_by_plane(panels).items():
            width = format_length(some[0].field_width, units)
            how = f"metal {width} wide ÷ {cover} coverage, cut to: "
            how += sum_of(cut_list(some, units))
            item = f"Panels on {planes[plane].name}"
            out.append(Quantity(group, item, "count", len(some), how, lines[0].source, (plane,)))
    for system in coverings.systems.values():
        group = f"Trim: {coverings.names[system.id]}" if several else "Trim"
        trim = [t for t in job.trim if t.system == system.id]
        out += trim_lines(trim, group, "", units)
    return out


def _has_several_systems(job: Part) -> bool:
    return len({p.system for p in job.panels} | {t.system for t in job.trim}) > 1


def _planes(job: Part, units: LengthUnits) -> list[Quantity]:
    out = []
    for p in job.planes:
        factor = p.true_area / p.plan_area if p.plan_area else 1.0
        how = f"plan {format_area(p.plan_area, units)} × slope factor {factor:.6f}"
        source = "slope factor √(1 + (rise/run)²)"
        item = f"{p.name}, {_pitch(p)}"
        out.append(Quantity("Planes", item, "mm²", p.true_area, how, source, (p.id,)))
    return out


def _pitch(plane: Plane) -> str:
    return "flat" if plane.slope == 0.0 else format_slope(plane.slope)


def _each_edge(job: Part, coverings: Coverings, units: LengthUnits) -> list[Quantity]:
    out = []
    for _, edges in job.by_kind():
        for e in edges:
            rise = float(abs(e.end[2] - e.start[2]))
            run = max(e.length**2 - rise**2, 0.0) ** 0.5
            shared = coverings.shared_words(e)
            how = (
                f"√(plan {format_length(run, units)}² + rise {format_length(rise, units)}²),"
                f" bend {abs(e.fold):.1f}°{f', {shared}' if shared else ''}"
            )
            out.append(
                Quantity("Each edge", e.name, "mm", e.length, how, GEOMETRY, e.planes, (e.id,))
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


def _warnings(job: Part, coverings: Coverings, units: LengthUnits) -> tuple[str, ...]:
    out = [f"{e.name}: {e.remark}" for e in job.edges if e.remark]
    out += [
        f"{p.name} is flat and takes no panels."
        for p in job.planes
        if p.slope == 0.0 and coverings.system_of(p) is not None
    ]
    short: dict[str, list[Panel]] = defaultdict(list)
    for panel in job.panels:
        if panel.length < _SHORT_PANEL_MM:
            short[panel.plane_name].append(panel)
    for plane, panels in short.items():
        numbers = ", ".join(str(p.number) for p in panels)
        which = f"panel {numbers} is" if len(panels) == 1 else f"panels {numbers} are"
        least = format_length(min(p.length for p in panels), units)
        out.append(
            f"{plane}: {which} under 12 in long (the shortest {least}); see whether trim or the"
            " next panel covers that corner."
        )
    return tuple(out)
