"""What may be added to a job beside the roof itself, and what makes labour slower."""

from __future__ import annotations

from collections import defaultdict
from typing import Final

from roofmodel.document import Project
from roofmodel.document.work import ChosenExtra
from roofmodel.surface import Plane, RoofEdge
from roofmodel.systems import EdgeKind
from roofmodel.systems.layer_parts import Extra, Factor
from roofmodel.takeoff.formula import area, labelled, sum_of
from roofmodel.takeoff.site import Site, bought_in_lengths, summed
from roofmodel.takeoff.types import Quantity
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import MM2_PER_SQUARE, format_length, format_slope, round_half_up

EXTRAS: Final = "Extras"
LABOUR: Final = "Labour"

_EAVES: Final = {EdgeKind.EAVE}
_RAKES: Final = {EdgeKind.RAKE, EdgeKind.HIGH_EAVE}
_KINDS: Final = {"eaves": _EAVES, "rakes": _RAKES, "eaves and rakes": _EAVES | _RAKES}


def extra_lines(site: Site) -> list[Quantity]:
    """One line per extra chosen."""
    known = {e.key: e for e in site.project.layers.extras}
    out = []
    for chosen in site.project.work.extras:
        extra = known.get(chosen.key)
        if extra is not None:
            out.append(_extra(site, extra, chosen))
    return out


def _extra(site: Site, extra: Extra, chosen: ChosenExtra) -> Quantity:
    item = extra.key[:1].upper() + extra.key[1:]
    if extra.measure == "count":
        count = 1.0 if chosen.amount is None else chosen.amount
        number = f"{count:.4f}".rstrip("0").rstrip(".")
        how = labelled(number, "as chosen")
        return Quantity(EXTRAS, item, "count", count, how, extra.source, key=extra.key)
    if chosen.amount is not None or extra.measure == "length by hand":
        total = chosen.amount or 0.0
        how = labelled(format_length(total, site.units), "as chosen")
        ids: tuple[RoofEdge, ...] = ()
    else:
        kinds = _KINDS[extra.measure]
        ids = tuple(e for e in site.covered_edges if e.kind in kinds)
        total = sum(e.length for e in ids)
        none = labelled(format_length(0.0, site.units), "no such edge")
        how = summed(((e.length, e.name) for e in ids), site.units) or none
    line = (EXTRAS, item, total, how, extra.source)
    note = "say how long" if total <= 0.0 and extra.measure == "length by hand" else ""
    edges = tuple(e.id for e in ids)
    return bought_in_lengths(line, extra.stock_length, extra.key, ((), edges), note, site.units)


def factor_at(factors: tuple[Factor, ...], value: float) -> float:
    """The factor of the last step that starts at or below a value.

    >>> factor_at((Factor(0.0, 1.0), Factor(0.5, 1.2)), 0.5)
    1.2
    """
    found = [f.factor for f in factors if f.at <= value + COUNT_EPS]
    return found[-1] if found else 1.0


def labour_factor(project: Project, plane: Plane) -> tuple[float, float, float]:
    """What labour on a plane takes by its slope, by the height of its lowest corner above the
    ground, and by access."""
    layers, labour = project.layers, project.work.labour
    height = float(plane.outline[:, 2].min())
    if labour.eave_height is not None:
        height = labour.eave_height
    by_slope = factor_at(layers.slope_factors, plane.slope)
    return by_slope, factor_at(layers.height_factors, max(height, 0.0)), labour.access


def labour_lines(site: Site) -> list[Quantity]:
    """Squares by what slows labour there, and all of them weighted."""
    classes: dict[tuple[float, float, float], list[Plane]] = defaultdict(list)
    for plane in site.covered:
        classes[labour_factor(site.project, plane)].append(plane)
    if not classes:
        return []
    units, source = site.units, site.project.layers.labour_source
    square = "100 sq ft" if units.system == "feet" else area(MM2_PER_SQUARE, units, 3)
    terms, total = [], 0.0
    for (slope, height, access), planes in sorted(classes.items(), key=lambda c: c[0]):
        whole = sum(p.true_area for p in planes)
        words = [labelled(_plain(slope), "slope"), labelled(_plain(height), "height")]
        words.append(labelled(_plain(access), "access"))
        pitches = sorted({p.slope for p in planes})
        at = format_slope(pitches[0])
        if len(pitches) > 1:
            at += f" to {format_slope(pitches[-1])}"
        amount = labelled(area(whole, units), f"planes of {at}")
        terms.append(f"{amount} ÷ {square} × {' × '.join(words)}")
        total += whole / MM2_PER_SQUARE * slope * height * access
    ids = tuple(p.id for p in site.covered)
    item = "Squares weighted by slope, height and access"
    return [Quantity(LABOUR, item, "squares", total, sum_of(terms), source, ids)]


def _plain(factor: float) -> str:
    """A factor as a number that is exact: 1.15 as ``115 %``."""
    percent = round_half_up(factor * 1e6) / 1e4
    return f"{percent:.4f}".rstrip("0").rstrip(".") + " %"
