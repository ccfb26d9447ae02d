"""The take-off's lines: what, how much, and how it came about."""

from __future__ import annotations

import dataclasses
import math
from collections import defaultdict
from collections.abc import Sequence

from roofmodel.cutting import Planner, plan_cuts
from roofmodel.document import Project
from roofmodel.surface import Plane, Surface
from roofmodel.surface.types import Late
from roofmodel.takeoff.cases import cases_of
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.cutting_plans import cutting_plans
from roofmodel.takeoff.formula import area, labelled, length, squared
from roofmodel.takeoff.later import Looked, not_counted
from roofmodel.takeoff.layout import layings_of
from roofmodel.takeoff.openings import opening_lines
from roofmodel.takeoff.panel_lines import laying_lines
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.totals import (
    GEOMETRY,
    Part,
    area_lines,
    length_lines,
    panel_lines,
    system_totals,
)
from roofmodel.takeoff.trim import trim_of
from roofmodel.takeoff.trim_lines import run_lines, trim_lines
from roofmodel.takeoff.trim_metal import trim_metal_lines
from roofmodel.takeoff.trim_raised import raised_warnings
from roofmodel.takeoff.types import Laying, Panel, Quantity, TakeOff
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import LengthUnits, format_length, format_slope

SHORT_PANEL_MM = 304.8
"""A panel shorter than 12 in is worth a word: common practice, no source."""


def take_off(
    surface: Surface, project: Project, *, planner: Planner | None = plan_cuts
) -> TakeOff:
    """Count panels and trim of a roof, each plane by its covering in the project.

    Planes that are not in the job count in nothing, nor do edges that only they have. Planes
    under another covering count with their areas and edge lengths. The project's units shape
    the words of the explanations and what cut lengths are rounded up to. Where the `planner` has
    no plan each piece of trim takes a stock length of its own: an estimate at once.
    """
    coverings, units = Coverings.of(surface, project), project.units
    layouts = {p.id: project.layout_of(str(p.id)) for p in surface.planes}
    cases = cases_of(surface, project, coverings)
    layings = layings_of(cases, layouts, surface.edges)
    counted = tuple(e for e in surface.edges if e.id in coverings.edges)
    trim = trim_of(surface, counted, coverings, units, cases)
    job = Part(
        tuple(p for p in surface.planes if coverings.is_in_job(p)),
        counted,
        tuple(p for laying in layings for p in laying.panels),
        trim,
        cutting_plans(trim, units, planner),
    )
    site = Site(project, surface, coverings, cases, counted, layings)

    def metal() -> list[Quantity]:
        return [
            *area_lines(job, "Roof", units),
            *_buildings(job, coverings, units),
            *_by_covering(job, coverings, units),
            *_planes(job, units),
            *length_lines(job, "Edges", coverings, units),
            *_each_edge(job, coverings, units),
            *_systems(job, layings, coverings, units),
            *trim_metal_lines(job.plans, project.parts, units),
            *opening_lines(job.planes, project, units),
        ]

    looked = Looked(site, trim, metal)
    return TakeOff(
        job.panels,
        job.trim,
        Late(lambda: tuple(_placed(q, coverings) for q in looked.lines())),
        _warnings(job, coverings, units) + raised_warnings(trim, coverings.parts),
        {p: owner.covering for p, owner in coverings.planes.items()},
        frozenset(coverings.edges),
        tuple(layings),
        job.plans,
        Late(looked.fixings),
        Late(looked.checks),
        Late(looked.zones),
        {e: owner.covering for e, owner in coverings.edges.items()},
    )


def lost_take_off(surface: Surface, project: Project) -> TakeOff:
    """What stands in the place of a take-off that could not be made: nothing is counted, and its
    one line, which has no price, says so."""
    coverings = {p.id: project.covering(p.building, str(p.id)) for p in surface.planes}
    edges = frozenset(e.id for e in surface.edges)
    line = not_counted("Panels, trim and goods")
    return TakeOff((), (), (line,), (), coverings, edges)


def _placed(line: Quantity, coverings: Coverings) -> Quantity:
    """The line with the one building and the one covering it belongs to."""
    if line.building or line.covering:
        return line
    owners = {coverings.edges[e] for e in line.edges}
    if line.key or not owners:  # goods may come from edges here and from planes there
        owners |= {coverings.planes[p] for p in line.planes}
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
            trim = [t for t in part.plans if t.system == system.id]
            out += trim_lines(trim, group, after, coverings, units, bought=False)
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


def _systems(
    job: Part, layings: Sequence[Laying], coverings: Coverings, units: LengthUnits
) -> list[Quantity]:
    """Panels and trim, system after system."""
    several = _has_several_systems(job)
    out = system_totals(job, coverings, units) if several else []
    for system in coverings.systems.values():
        group = f"Panels: {coverings.names[system.id]}"
        panels = [p for p in job.panels if p.system == system.id]
        out += panel_lines(panels, system, group, "", units, bought=True)
        own = [laying for laying in layings if laying.system == system.id]
        out += laying_lines(own, system, group, units)
    for system in coverings.systems.values():
        group = f"Trim: {coverings.names[system.id]}" if several else "Trim"
        trim = [t for t in job.plans if t.system == system.id]
        out += trim_lines(trim, group, "", coverings, units)
    for system in coverings.systems.values():
        group = f"Trim runs: {coverings.names[system.id]}" if several else "Trim runs"
        out += run_lines([t for t in job.trim if t.system == system.id], group, coverings, units)
    return out


def _has_several_systems(job: Part) -> bool:
    return len({p.system for p in job.panels} | {t.system for t in job.trim}) > 1


def _planes(job: Part, units: LengthUnits) -> list[Quantity]:
    out = []
    for p in job.planes:
        factor = p.true_area / p.plan_area if p.plan_area else 1.0
        # a steep plane multiplies the rounding of its plan area
        places = max(0, math.ceil(math.log10(factor) - 0.5))
        plan = labelled(area(p.plan_area, units, places), "in plan")
        how = f"{plan} × {factor:.6f} (slope factor)"
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
            note = f"bend {abs(e.fold):.1f}°{f', {shared}' if shared else ''}"
            out.append(
                Quantity(
                    *("Each edge", e.name, "mm", e.length, _slant(run, rise, units), GEOMETRY),
                    *(e.planes, (e.id,)),
                    note=note,
                )
            )
    return out


def _slant(run: float, rise: float, units: LengthUnits) -> str:
    """True length from the length in plan and the rise."""
    if rise <= HEAL_MM / 1000.0:
        return labelled(format_length(run, units), "level")
    # what would read as nothing gets decimals
    finer = 0 if min(length(run, units)[1], length(rise, units)[1]) > 0.0 else 1
    level, upright = length(run, units, finer)[0], length(rise, units, finer)[0]
    return f"√({squared(level)} (in plan) + {squared(upright)} (rise))"


def _warnings(job: Part, coverings: Coverings, units: LengthUnits) -> tuple[str, ...]:
    out = [f"{e.name}: {e.remark}" for e in job.edges if e.remark]
    out += [
        f"{p.name} is flat and takes no panels."
        for p in job.planes
        if p.slope == 0.0 and coverings.system_of(p) is not None
    ]
    short: dict[str, list[Panel]] = defaultdict(list)
    for panel in job.panels:
        if panel.length < SHORT_PANEL_MM:
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
