"""Totals of areas, edge lengths, panels and trim over some part of the job.

The same lines are made for the whole job, for each building and for each covering. Everything
counts with exactly one building and one covering (see `coverings`), so the parts add up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from roofmodel.surface import Plane, PlaneId, RoofEdge
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff.coverings import Coverings, Owner
from roofmodel.takeoff.formula import area, counted, labelled, size, sum_of
from roofmodel.takeoff.trim_types import TrimPlan, TrimRun
from roofmodel.takeoff.types import Panel, Quantity
from roofmodel.units import MM2_PER_SQUARE, LengthUnits, format_length

GEOMETRY = "geometry of the roof"


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """What is counted together."""

    planes: tuple[Plane, ...]
    edges: tuple[RoofEdge, ...]
    panels: tuple[Panel, ...]
    trim: tuple[TrimRun, ...]
    plans: tuple[TrimPlan, ...] = ()

    def only(self, coverings: Coverings, building: str = "", covering: str = "") -> Part:
        """Those that count with this building and this covering (ids; "" for all)."""
        of_plane, of_edge = coverings.planes, coverings.edges

        def belongs(owner: Owner) -> bool:
            return building in ("", owner.building) and covering in ("", owner.covering)

        return Part(
            tuple(p for p in self.planes if belongs(of_plane[p.id])),
            tuple(e for e in self.edges if belongs(of_edge[e.id])),
            tuple(p for p in self.panels if belongs(of_plane[p.plane])),
            tuple(t for t in self.trim if belongs(Owner(t.building, t.system))),
            tuple(p for p in self.plans if belongs(Owner(p.building, p.system))),
        )

    def by_kind(self) -> list[tuple[EdgeKind, list[RoofEdge]]]:
        """The edges kind after kind, without kinds that do not occur."""
        grouped: dict[EdgeKind, list[RoofEdge]] = defaultdict(list)
        for e in self.edges:
            grouped[e.kind].append(e)
        return [(kind, grouped[kind]) for kind in EdgeKind if kind in grouped]


def area_lines(part: Part, group: str, units: LengthUnits) -> list[Quantity]:
    """True area, squares and plan area."""
    planes = part.planes
    if not planes:
        return []
    ids = tuple(p.id for p in planes)
    true_area = sum(p.true_area for p in planes)
    plan_area = sum(p.plan_area for p in planes)
    by_plane = sum_of(labelled(area(p.true_area, units), p.name) for p in planes)
    in_plan = sum_of(labelled(area(p.plan_area, units), p.name) for p in planes)
    square = "100 sq ft" if units.system == "feet" else area(MM2_PER_SQUARE, units, 3)
    squares = f"{area(true_area, units)} ÷ {labelled(square, 'one square')}"
    return [
        Quantity(group, "Roof area", "mm²", true_area, by_plane, GEOMETRY, ids),
        Quantity(
            group, "Roof squares", "squares", true_area / MM2_PER_SQUARE, squares, GEOMETRY, ids
        ),
        Quantity(group, "Plan area", "mm²", plan_area, in_plan, GEOMETRY, ids),
    ]


def length_lines(
    part: Part, group: str, coverings: Coverings, units: LengthUnits
) -> list[Quantity]:
    """True length per kind of edge."""
    out = []
    for kind, edges in part.by_kind():
        terms = []
        for e in edges:
            shared = coverings.shared_words(e)
            words = f"{e.name}, {shared}" if shared else e.name
            terms.append(labelled(format_length(e.length, units), words))
        ids = tuple(e.id for e in edges)
        length = sum(e.length for e in edges)
        item = f"{kind.capitalize()}, all"
        out.append(Quantity(group, item, "mm", length, sum_of(terms), GEOMETRY, (), ids))
    return out


def panel_lines(
    panels: Sequence[Panel],
    system: RoofingSystem,
    group: str,
    after: str,
    units: LengthUnits,
    *,
    bought: bool = False,
) -> list[Quantity]:
    """Count, length and metal of one system's panels; `after` follows the name of each line.
    `bought`: these are the lines to buy by, not a part of others."""
    if not panels:
        return []
    by_plane = panels_by_plane(panels)
    planes = tuple(by_plane)
    net, gross = sum(p.net_area for p in panels), sum(p.gross_area for p in panels)
    length = sum(p.length for p in panels)
    lengths = [
        labelled(format_length(sum(p.length for p in s), units), s[0].plane_name)
        for s in by_plane.values()
    ]
    counts = counted((len(s), s[0].plane_name) for s in by_plane.values())
    metal = (
        f"{labelled(format_length(length, units), 'panels')}"
        f" × {labelled(size(system.coverage, units), 'coverage')}"
    )
    nets = [
        labelled(area(sum(p.net_area for p in s), units), s[0].plane_name)
        for s in by_plane.values()
    ]
    field = "panel field of every plane: the plane with its sides moved by the system's shifts"
    waste = f"{area(gross, units)} (gross) ÷ {area(net, units)} (net) − 1"
    no_less = "no layout takes less than the net area"
    rows: list[tuple[str, str, float, str, str]] = [
        ("Panels, all", "count", len(panels), counts, ""),
        ("Panel length, all", "mm", length, sum_of(lengths), ""),
        ("Metal, gross", "mm²", gross, metal, ""),
        ("Metal, net", "mm²", net, sum_of(nets), field),
        ("Waste on net area", "share", gross / net - 1.0, waste, no_less),
    ]
    source = f"{system.name}: {system.source}"
    # what panels are bought by: once for the job, not again for each building
    keys = {"Metal, gross": f"panel:{system.id}"} if bought else {}
    return [
        Quantity(
            *(group, item + after, unit, value, how, source, planes),
            note=note,
            key=keys.get(item, ""),
        )
        for item, unit, value, how, note in rows
    ]


def panels_by_plane(panels: Iterable[Panel]) -> dict[PlaneId, list[Panel]]:
    """Panels plane after plane."""
    out: dict[PlaneId, list[Panel]] = defaultdict(list)
    for p in panels:
        out[p.plane].append(p)
    return dict(out)


def system_totals(part: Part, coverings: Coverings, units: LengthUnits) -> list[Quantity]:
    """Panels, metal and trim of all systems together, where there are several."""
    used = dict.fromkeys([*(p.system for p in part.panels), *(t.system for t in part.trim)])
    panels = {s: [p for p in part.panels if p.system == s] for s in used}
    planes = tuple(panels_by_plane(part.panels))
    edges = tuple(e for t in part.trim for e in t.edges)
    group, source = "All systems", "sum over the job's systems"

    def terms(numbers: dict[str, str]) -> str:
        return sum_of(labelled(n, coverings.names[s]) for s, n in numbers.items())

    counts = terms({s: str(len(some)) for s, some in panels.items()})
    out = []
    if planes:
        gross = {s: sum(p.gross_area for p in some) for s, some in panels.items()}
        net = {s: sum(p.net_area for p in some) for s, some in panels.items()}
        out.append(
            Quantity(group, "Panels, all", "count", len(part.panels), counts, source, planes)
        )
        for item, areas in (("Metal, gross", gross), ("Metal, net", net)):
            how = terms({s: area(a, units) for s, a in areas.items()})
            out.append(Quantity(group, item, "mm²", sum(areas.values()), how, source, planes))
    if edges:
        bars = {s: sum(len(p.bars) for p in part.plans if p.system == s) for s in used}
        how = terms({s: str(n) for s, n in bars.items()})
        total = sum(bars.values())
        out.append(Quantity(group, "Trim lengths, all", "count", total, how, source, (), edges))
    return out
