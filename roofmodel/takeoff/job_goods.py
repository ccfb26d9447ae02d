"""All goods that fasten, seal and close the job's roof, and where the fasteners stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roofmodel.takeoff.fastening import fixings_of
from roofmodel.takeoff.fixing_lines import panel_uses, plane_lines, trim_uses
from roofmodel.takeoff.fixing_types import PlaneFixing
from roofmodel.takeoff.goods import goods_lines
from roofmodel.takeoff.sealing import sealing_uses
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.takeoff.types import Quantity
from roofmodel.takeoff.zones import building_zones


@dataclass(frozen=True, slots=True, eq=False)
class Goods:
    """The lines of the take-off, and the fasteners of each plane."""

    lines: tuple[Quantity, ...]
    fixings: tuple[PlaneFixing, ...]


def goods_of(site: Site, trim: Sequence[TrimRun]) -> Goods:
    """Count them for a job with its panels and its trim."""
    planes = {p: case.plane for p, case in site.cases.items()}
    widths = {
        p: zone.width_on(planes[p])
        for zone in building_zones(site)
        for p in zone.planes
        if p in planes
    }
    old, batten = site.project.work.old_roof, site.project.layers.batten
    battens = batten.spacing if old.over == "re-cover" else None
    fixings = fixings_of(site.cases, site.layings, widths, battens)
    uses = [
        *panel_uses(site, fixings),
        *trim_uses(trim, site.coverings.systems),
        *sealing_uses(site, fixings, trim),
    ]
    lines = [
        *goods_lines(uses, site.units),
        *plane_lines(site, fixings),
    ]
    return Goods(tuple(lines), tuple(fixings))
