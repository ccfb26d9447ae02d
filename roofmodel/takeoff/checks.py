"""Checks of the roof against rules of the trade and of codes: hints where to look.

None of them is a verdict on the structure: wind, snow, framing, deck and fasteners are for the
maker's tested listing and, where required, a licensed engineer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from roofmodel.surface import EdgeId, Plane, PlaneId
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.systems.layer_parts import PanelLimits
from roofmodel.takeoff.check_types import Check
from roofmodel.takeoff.decks import deck_checks
from roofmodel.takeoff.formula import labelled
from roofmodel.takeoff.ice import WITH_LEAST
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.types import Laying, Quantity
from roofmodel.takeoff.ventilation import CHECKS, ventilation_checks, ventilation_lines
from roofmodel.takeoff.zones import building_zones, is_flat, zone_lines
from roofmodel.tolerance import COUNT_EPS, HEAL_MM
from roofmodel.units import format_length, format_slope

SLOPE: Final = "Lowest slope"
LENGTH: Final = "Panel length"
MOVEMENT: Final = "Thermal movement"
OVERHANG: Final = "Overhang of the metal at eaves"
ZONES: Final = "Edge and corner zones"
RE_COVER: Final = "Laying over the old roof"
ICE: Final = "Ice barrier"


def check_lines(site: Site) -> list[Quantity]:
    """The lines of checks that have a quantity."""
    return [*ventilation_lines(site), *_movement_lines(site), *zone_lines(site)]


def checks_of(site: Site) -> tuple[Check, ...]:
    """All checks of the job, those that found something among them."""
    out = ventilation_checks(site)
    for system in site.systems:
        limits = site.project.layers.limits_of(system.id, system.panel.fastening)
        out += _slopes(site, system, limits)
        out += _lengths(site, system, limits)
        out += _overhangs(site, system, limits)
    out += deck_checks(site)
    return (*out, *_movements(site), *_zones(site), *_re_cover(site), *_ice(site))


def _names(names: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(names))


def _planes_of(site: Site, system: RoofingSystem) -> list[Plane]:
    own = site.coverings.planes
    return [p for p in site.covered if own[p.id].covering == system.id and p.slope > 0.0]


def _slopes(site: Site, system: RoofingSystem, limits: PanelLimits) -> list[Check]:
    """Planes flatter than the system's least slope, and than its least with sealed laps."""
    planes = _planes_of(site, system)
    out: list[Check] = []

    def told(some: Sequence[Plane], words: str) -> None:
        names = _names(f"{p.name} ({format_slope(p.slope)})" for p in some)
        ids = tuple(p.id for p in some)
        sentence = f"{system.name}: {names} {words}"
        out.append(Check(SLOPE, limits.slope_source, sentence, ids, (), False))

    def below(slope: float) -> list[Plane]:
        return [p for p in planes if p.slope < slope * (1.0 - COUNT_EPS)]

    flat = below(limits.sealed_slope)
    low = [p for p in below(limits.least_slope) if p not in flat]
    least = format_slope(limits.least_slope)
    if flat:
        told(flat, f"lies below {format_slope(limits.sealed_slope)}; choose another covering.")
    if low and system.panel.fastening == "face":
        told(low, f"lies below {least}: every side lap and end lap there wants lap sealant.")
    elif low:
        told(low, f"lies below {least}: ask the maker whether this seam serves there.")
    if planes and not out:
        sentence = f"{system.name}: no plane lies below {least}."
        ids = tuple(p.id for p in planes)
        out.append(Check(SLOPE, limits.slope_source, sentence, ids))
    return out


def strip_lengths(laying: Laying) -> list[float]:
    """Length (mm) of metal along each strip: sheets that are joined by end laps count as one."""
    out: list[float] = []
    for panel in laying.panels:
        if panel.end_lap > 0.0 and out:
            out[-1] += panel.length - panel.end_lap
        else:
            out.append(panel.length)
    return out


def _lengths(site: Site, system: RoofingSystem, limits: PanelLimits) -> list[Check]:
    """Panels that are hard to handle, or too long for their fastening."""
    stiff: dict[PlaneId, tuple[str, float]] = {}
    heavy: dict[PlaneId, tuple[str, float]] = {}
    planes = []
    for laying in site.layings:
        if laying.system != system.id or not laying.panels:
            continue
        planes.append(laying.plane)
        whole, one = max(strip_lengths(laying)), max(p.length for p in laying.panels)
        if whole > limits.fixed_length + HEAL_MM:
            stiff[laying.plane] = (laying.plane_name, whole)
        if one > limits.handling + HEAL_MM:
            heavy[laying.plane] = (laying.plane_name, one)
    how = "screwed through its face" if system.panel.fastening == "face" else "on clips"
    units, out = site.units, []
    for some, limit, words in (
        (stiff, limits.fixed_length, f"metal {how} moves too much; put a step or a joint in"),
        (heavy, limits.handling, "panels are hard to carry and to bring; plan how"),
    ):
        if some:
            names = _names(f"{n} ({format_length(x, units)})" for n, x in some.values())
            sentence = f"{system.name}: {names} is over {format_length(limit, units)}: {words}."
            out.append(Check(LENGTH, limits.length_source, sentence, tuple(some), (), False))
    if planes and not out:
        longest = format_length(min(limits.fixed_length, limits.handling), units)
        sentence = f"{system.name}: no panel is longer than {longest}."
        out.append(Check(LENGTH, limits.length_source, sentence, tuple(planes)))
    return out


def movement(length: float, expansion: float, warming: float) -> float:
    """How much a length (mm) grows, mm: `expansion` in millionths per degree F.

    >>> round(movement(40 * 12, 6.7, 98.1), 4)  # inches
    0.3155
    """
    return length * expansion * warming / 1e6


def _movement_lines(site: Site) -> list[Quantity]:
    """Per plane how much its longest strip of metal moves."""
    work = site.project.work
    metal = site.project.layers.metals.get(work.metal)
    if metal is None or work.warming <= 0.0:
        return []
    out = []
    for laying in site.layings:
        if not laying.panels:
            continue
        whole = max(strip_lengths(laying))
        if site.units.system == "feet":
            rate, degrees, scale = metal.expansion, work.warming, "F"
        else:
            rate, degrees, scale = metal.expansion * 1.8, work.warming / 1.8, "C"
        metal_words = labelled(f"{rate:.4f}", f"millionths per degree {scale}, {work.metal}")
        warming = labelled(f"{degrees:.2f}", f"degrees {scale}")
        length = format_length(whole, site.units)
        how = f"{length} × {metal_words} × {warming} ÷ 1000000"
        out.append(
            Quantity(
                *(CHECKS, f"Movement of the longest panel on {laying.plane_name}", "mm"),
                movement(whole, metal.expansion, work.warming),
                *(how, f"{metal.source}; {_WARMING}", (laying.plane,)),
                note="from where it is fixed: half of it each way where that is its middle",
            )
        )
    return out


_WARMING: Final = "200 degrees F: military criteria for standing-seam clips, 2006"


def _movements(site: Site) -> list[Check]:
    """What moves most, as one hint for the whole job."""
    lines = _movement_lines(site)
    if not lines:
        return []
    most = max(lines, key=lambda q: q.quantity)
    moves = format_length(most.quantity, site.units)
    plane = most.item.removeprefix("Movement of the longest panel on ")
    sentence = f"The longest panel on {plane} grows and shrinks by {moves}: clips, slots and trim"
    sentence += " must let it."
    return [Check(MOVEMENT, most.source, sentence, tuple(p for q in lines for p in q.planes))]


def _overhangs(site: Site, system: RoofingSystem, limits: PanelLimits) -> list[Check]:
    """How far panels reach past the eave."""
    owner = site.coverings.edges
    eaves: list[EdgeId] = [
        e.id
        for e in site.covered_edges
        if e.kind is EdgeKind.EAVE and owner[e.id].covering == system.id
    ]
    if not eaves:
        return []
    past = system.shifts.get(EdgeKind.EAVE, 0.0)
    units = site.units
    least, most = (format_length(v, units) for v in (limits.least_overhang, limits.most_overhang))
    right = limits.least_overhang - 1e-6 <= past <= limits.most_overhang + 1e-6
    sentence = f"{system.name}: its metal reaches {format_length(past, units)} past the eave"
    sentence += "." if right else f"; {least} to {most} is usual."
    source = limits.overhang_source
    return [Check(OVERHANG, source, sentence, (), tuple(eaves), right)]


def _zones(site: Site) -> list[Check]:
    """How wide the zones are that want more fasteners: layout only."""
    out = []
    planes = {p.id: p for p in site.covered}
    edition = f"ASCE 7, edition {site.project.work.wind_edition}, components and cladding"
    for one in building_zones(site):
        name = site.coverings.buildings[one.building]
        width = format_length(one.width, site.units)
        sentence = (
            f"{name}: strips {width} wide along eaves, rakes, ridges and hips want the closer"
            " fasteners of the maker's listing, corners the closest; layout only."
        )
        flat = [p for p in one.planes if planes[p].slope > 0.0 and is_flat(planes[p])]
        if flat and one.flat_reach > one.width:
            reach = format_length(one.flat_reach, site.units)
            sentence += f" On planes up to 7° the outer band is {reach} wide instead."
        out.append(Check(ZONES, edition, sentence, one.planes))
    return out


def _re_cover(site: Site) -> list[Check]:
    """May another roof lie over this one?"""
    old_roof, layers = site.project.work.old_roof, site.project.layers
    if old_roof.over != "re-cover" or not site.covered:
        return []
    old = next((c for c in layers.old_coverings if c.key == old_roof.covering), None)
    source, most = layers.waste.layers_source, layers.waste.most_layers
    planes = tuple(p.id for p in site.covered)
    if old is not None and old.never_covered:
        sentence = f"An old roof of {old.key} must come off: choose tear-off."
        return [Check(RE_COVER, source, sentence, planes, (), False)]
    if old_roof.layers >= most:
        sentence = (
            f"The old roof has {old_roof.layers} layers; with {most} or more it must come off:"
            " choose tear-off."
        )
        return [Check(RE_COVER, source, sentence, planes, (), False)]
    sentence = "One more roof may lie over the old one, if the deck carries both."
    return [Check(RE_COVER, source, sentence, planes), *_battens(site)]


def _battens(site: Site) -> list[Check]:
    """Systems whose rows of fasteners should stand closer than the battens they stand on."""
    batten, units, out = site.project.layers.batten, site.units, []
    for system in site.systems:
        fixing = system.fixing
        by_clips = system.panel.fastening == "clips"
        least = min(fixing.clips.edge, fixing.clips.field)
        if not by_clips:
            least = min(fixing.screws.edge, fixing.screws.field)
        ids = tuple(p.id for p in _planes_of(site, system) if p.id in site.cases)
        if ids and batten.spacing > least + HEAL_MM:
            apart, rows = format_length(batten.spacing, units), format_length(least, units)
            sentence = f"{system.name}: rows of fasteners stand on the battens, {apart} apart, and"
            sentence += f" want {rows} in edge zones: lay the battens closer."
            out.append(Check(RE_COVER, batten.source, sentence, ids, (), False))
    return out


def _ice(site: Site) -> list[Check]:
    """Cold eaves: what the edition says on steep roofs."""
    work = site.project.work
    if not work.ice_barrier.on or not site.cases:
        return []
    year = "2009 or older" if work.edition == "2009" else work.edition
    inside = format_length(work.ice_barrier.inside, site.units)
    sentence = f"Membrane at the eaves reaches {inside} inside the walls, measured from their"
    sentence += f" {work.ice_barrier.face} face"
    if work.edition in WITH_LEAST:
        sentence += "; from 8/12 on also 36 in up the slope"
    edition = f"residential code {year} R905.1.2"
    return [Check(ICE, edition, f"{sentence}.", tuple(site.cases))]
