"""Net free area for the attic, from its plan area inside the walls.

Residential code R806.2: 1/150 of the vented plan area; 1/300 under conditions that differ by
edition. Porches and what else is open below have no attic.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from roofmodel.document.work import Edition
from roofmodel.surface import EdgeId, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.check_types import Check
from roofmodel.takeoff.formula import area, labelled, size, sum_of
from roofmodel.takeoff.site import Site, summed
from roofmodel.takeoff.types import Quantity
from roofmodel.takeoff.wall_lines import enclosed
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import MM_PER_IN, LengthUnits, format_length, round_half_up

CHECKS: Final = "Checks"
RULE: Final = "Attic ventilation"
_HIGH: Final[Mapping[Edition, tuple[float, float]]] = {"2009": (0.5, 0.8)}
_SINCE_2012: Final = (0.4, 0.5)


@dataclass(frozen=True, slots=True)
class AirNeeded:
    """Of one building, areas in mm²: its attic in plan as (name, area) and what of it lies twice;
    net free area in all, at the ridge and at the eaves. All 0 where none is needed."""

    building: str
    attic: tuple[tuple[str, float], ...]
    twice: float
    needed: float
    at_ridge: float
    at_eaves: float
    planes: tuple[PlaneId, ...]
    ridges: tuple[EdgeId, ...]


def net_free_area(attic: float, ratio: int, share: float) -> tuple[float, float, float]:
    """Net free area in all, at the ridge, at the eaves, in the unit of the attic's area.

    >>> net_free_area(2000 * 144.0, 300, 0.5)
    (960.0, 480.0, 480.0)
    """
    needed = attic / ratio
    return needed, needed * share, needed * (1.0 - share)


def air_needed(site: Site) -> tuple[AirNeeded, ...]:
    """What each building needs; none where insulation is sprayed below the deck."""
    air = site.project.work.ventilation
    if air.attic == "spray foam":
        return ()
    out = []
    for building in site.project.buildings:
        planes = [p for p in site.covered if p.building == building.id]
        # the attic goes on below planes that others cover
        inside = (p for p in site.surface.planes if p.building == building.id)
        parts = dict.fromkeys(p.id.section for p in inside if site.coverings.is_in_job(p))
        named, twice = enclosed(tuple(site.walls[k] for k in parts if k in site.walls))
        if not named or not planes:
            continue
        whole = sum(a for _, a in named) - twice
        ids = {p.id for p in planes}
        ridges = [
            e.id
            for e in site.covered_edges
            if e.kind is EdgeKind.RIDGE and any(p in ids for p in e.planes)
        ]
        shares = net_free_area(whole, air.ratio, air.at_ridge)
        out.append(
            AirNeeded(
                building.id, named, twice, *shares, tuple(p.id for p in planes),
                tuple(ridges),
            )
        )  # fmt: skip
    return tuple(out)


def ventilation_lines(site: Site) -> list[Quantity]:
    """Net free area needed, at the ridge and at the eaves, building after building."""
    air, units = site.project.work.ventilation, site.units
    found = air_needed(site)
    out = []
    for one in found:
        name = site.coverings.buildings.get(one.building, one.building)
        after = f", {name}" if len(found) > 1 else ""
        attic = sum_of(labelled(area(a, units, 1), words) for words, a in one.attic)
        if one.twice > 0.0:
            attic += f" − {labelled(area(one.twice, units, 1), 'one over the other')}"
        bracket = f"({attic})" if len(one.attic) > 1 else attic
        how = f"{bracket} ÷ {air.ratio}"
        source = source_of(site)
        rows = [
            ("Net free area of vents needed", one.needed, how),
            ("Net free area at the ridge", one.at_ridge, f"{how} × {_percent(air.at_ridge)}"),
            ("Net free area at the eaves", one.at_eaves, f"{how} × {_percent(1 - air.at_ridge)}"),
        ]
        open_ridges = vented_ridges(site, one)
        for item, value, words in rows:
            out.append(
                Quantity(
                    *(CHECKS, item + after, "mm²", value, words, source, one.planes),
                    note=f"{small_area(value, units)}; as the vent's maker states it",
                )
            )
        if open_ridges:
            out.append(_at_vented_ridges(site, open_ridges, after))
    return out


def _at_vented_ridges(site: Site, ridges: Sequence[RoofEdge], after: str) -> Quantity:
    """What vent strips along these ridges let through."""
    layers, units = site.project.layers, site.units
    opening = layers.vent_opening
    total = sum(e.length for e in ridges) * opening
    terms = summed(((e.length, e.name) for e in ridges), units)
    terms = f"({terms})" if len(ridges) > 1 else terms
    how = f"{terms} × {labelled(size(opening, units), 'open')}"
    return Quantity(
        *(CHECKS, f"Net free area of vented ridges{after}", "mm²", total, how),
        *(layers.vent_source, (), tuple(e.id for e in ridges)),
        note=small_area(total, units),
    )


def small_area(mm2: float, units: LengthUnits) -> str:
    """An area of openings: in square inches or square centimetres.

    >>> from roofmodel.document import Units
    >>> small_area(1920 * 25.4**2, Units())
    '1920 sq in'
    """
    if units.system == "feet":
        return f"{round_half_up(mm2 / MM_PER_IN**2)} sq in"
    return f"{round_half_up(mm2 / 100.0)} cm²"


def source_of(site: Site) -> str:
    """The rule as the job's edition has it."""
    year, ratio = site.project.work.edition, site.project.work.ventilation.ratio
    if ratio == 150:
        return "residential code R806.2, all editions: 1/150 of the vented plan area"
    if year == "2009":
        return (
            "residential code 2009 and older R806.2: 1/300 where 50 to 80 % is high, 3 ft or more"
            " above the vents at the eaves, or with a vapour retarder"
        )
    if year == "2012":
        return (
            "residential code 2012 R806.2: 1/300 where 40 to 50 % is high, no more than 3 ft below"
            " the ridge, or with a vapour retarder in cold zones"
        )
    return (
        f"residential code {year} R806.2, from memory: 1/300 where 40 to 50 % is high, and with a"
        " vapour retarder in zones 6 to 8"
    )


def ventilation_checks(site: Site) -> list[Check]:
    """Is any needed, is its share at the ridge right, is there a vented ridge?"""
    air, work = site.project.work.ventilation, site.project.work
    if not site.covered:
        return []
    if air.attic == "spray foam":
        sentence = "No vents are counted: insulation is sprayed below the deck, unvented."
        source = "residential code R806.5, unvented attics, from memory"
        return [Check(RULE, source, sentence, tuple(p.id for p in site.covered))]
    out = []
    for one in air_needed(site):
        name = site.coverings.buildings.get(one.building, one.building)
        needed, ridge = small_area(one.needed, site.units), small_area(one.at_ridge, site.units)
        words = f"{name} needs {needed} of net free area, {ridge} of it at the ridge"
        low, high = _HIGH.get(work.edition, _SINCE_2012)
        right = air.ratio == 150 or low - COUNT_EPS <= air.at_ridge <= high + COUNT_EPS
        sentence = f"{words}."
        if not right:
            sentence = (
                f"{words}: for 1/300 this edition wants {low * 100:.0f} to {high * 100:.0f} %"
                f" high, not {_percent(air.at_ridge)}; change the share or take 1/150."
            )
        out.append(Check(RULE, source_of(site), sentence, one.planes, one.ridges, right))
        out += _opened(site, one, name)
    return out


def _opened(site: Site, one: AirNeeded, name: str) -> list[Check]:
    """Where the air that is to leave high up finds its way. How panels are laid decides whether it
    is the ridge: as long as they are laid for a closed one, as on a new job, that is no fault but
    a hint, for vents of their own can stand below it."""
    if one.at_ridge <= 0.0:
        return []
    rule, source = "Vented ridge", "what the job says about its ventilation and its panels"
    high = small_area(one.at_ridge, site.units)
    if not one.ridges:
        sentence = (
            f"{name} has no ridge: {high} of net free area wants vents of their own high up."
        )
        return [Check(rule, source, sentence, one.planes)]
    open_ridges = vented_ridges(site, one)
    if open_ridges:
        length = sum(e.length for e in open_ridges)
        has = length * site.project.layers.vent_opening
        right = has >= one.at_ridge * (1.0 - COUNT_EPS)
        sentence = (
            f"{name} has {format_length(length, site.units)} of vented ridge with"
            f" {small_area(has, site.units)} of net free area, and needs"
            f" {high} there"
        )
        sentence += "." if right else ": take a more open vent strip, or vent more of it."
        ids = tuple(e.id for e in open_ridges)
        return [Check(rule, site.project.layers.vent_source, sentence, one.planes, ids, right)]
    sentence = (
        f"{name}: panels are laid for a closed ridge, so {high} of net free area wants vents of"
        " their own high up; where the ridge is vented, lay the panels for that."
    )
    return [Check(rule, source, sentence, one.planes, one.ridges)]


def vented_ridges(site: Site, one: AirNeeded) -> list[RoofEdge]:
    """The ridges of a building beside which panels are laid for a vented one."""
    vented = {p for p, case in site.cases.items() if case.vented}
    own = set(one.ridges)
    return [e for e in site.covered_edges if e.id in own and any(p in vented for p in e.planes)]


def _percent(share: float) -> str:
    return f"{round_half_up(share * 1e6) / 1e4:.4f}".rstrip("0").rstrip(".") + " %"
