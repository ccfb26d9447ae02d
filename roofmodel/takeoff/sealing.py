"""What seals and closes a roof: butyl tape, sealant, closures, vent strip, boots on pipes."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from roofmodel.surface import Plane, RoofEdge
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel.takeoff.fixing_lines import edges_of
from roofmodel.takeoff.fixing_types import PlaneFixing
from roofmodel.takeoff.goods import Use
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.tolerance import COUNT_EPS


@dataclass(frozen=True, slots=True)
class Side:
    """One side of an edge: the panels of a plane end there or run along it."""

    edge: RoofEdge
    kind: EdgeKind
    case: Case

    @property
    def is_vented(self) -> bool:
        """Does a vent strip lie here?"""
        return self.case.vented and self.kind is EdgeKind.RIDGE

    @property
    def closure(self) -> str:
        """Which closures stand here: "inside closure", "outside closure" or none."""
        closures = self.case.system.fixing.closures
        if self.case.system.panel.fastening != "face" or self.is_vented:
            return ""
        inside, outside = self.kind in closures.inside, self.kind in closures.outside
        if self.kind is EdgeKind.PITCH_TRANSITION:
            above = _rises_from(self.case.plane, self.edge)
            inside, outside = inside and above, outside and not above
        return "inside closure" if inside else "outside closure" if outside else ""


def _rises_from(plane: Plane, edge: RoofEdge) -> bool:
    """Does a plane rise from a level edge of its own, or fall from it?"""
    middle = (edge.start[:2] + edge.end[:2]) / 2.0
    best, rise = math.inf, 0.0
    angle = math.radians(plane.bearing)
    for ring in (plane.outline, *plane.holes):
        a = ring[:, :2]
        way = np.roll(a, -1, axis=0) - a
        share = ((middle - a) * way).sum(axis=1) / np.maximum((way * way).sum(axis=1), 1e-12)
        off = np.linalg.norm(a + np.clip(share, 0.0, 1.0)[:, None] * way - middle, axis=1)
        k = int(off.argmin())
        if off[k] < best:
            # the plane lies on the left of its rings; it falls towards its bearing
            left = (-float(way[k, 1]), float(way[k, 0]))
            best, rise = float(off[k]), -left[0] * math.sin(angle) - left[1] * math.cos(angle)
    return rise > 0.0


def sides_of(site: Site) -> Iterator[Side]:
    """Each side of each edge in the job that a system's panels lie on; none around pipes."""
    for edge in site.edges:
        if not site.coverings.is_pipe(edge):
            for plane in edge.planes:
                if plane in site.cases:
                    yield Side(edge, trim_kind(edge), site.cases[plane])


def sealing_uses(site: Site, fixings: Sequence[PlaneFixing], trim: Sequence[TrimRun]) -> list[Use]:
    """All of it."""
    sides = list(sides_of(site))
    return [
        *_along_sides(sides),
        *_in_laps(site, fixings),
        *_on_trim(site, trim),
        *_beads(site, trim),
        *_boots(site),
    ]


def _along_sides(sides: Sequence[Side]) -> list[Use]:
    """Closures, vent strip and tape along edges, side by side, by kind of edge."""
    some: dict[tuple[str, str, EdgeKind], list[Side]] = defaultdict(list)
    systems = {s.case.system.id: s.case.system for s in sides}
    for side in sides:
        system = side.case.system
        if side.is_vented:
            some["vent strip roll", system.id, side.kind].append(side)
            continue
        if closure := side.closure:
            some[closure, system.id, side.kind].append(side)
        if system.fixing.tape.edges.get(side.kind):
            some["butyl tape roll", system.id, side.kind].append(side)
    out = []
    for (key, ident, kind), members in some.items():
        fixing = systems[ident].fixing
        rows, source = 1, fixing.source_of(f"closures.{key.partition(' ')[0]}")
        if key == "butyl tape roll":
            rows, source = fixing.tape.edges[kind], fixing.source_of(f"tape.edges.{kind}")
        elif key == "vent strip roll":
            source = fixing.source_of("vent strip")
        total = math.fsum(s.edge.length for s in members)
        label = f"along each {kind}, both sides" if _has_two(members) else f"along each {kind}"
        planes = tuple(dict.fromkeys(s.case.plane.id for s in members))
        edges = tuple(dict.fromkeys(s.edge.id for s in members))
        pack = fixing.pack_of(key)
        out.append(Use(key, pack, (rows,), label, source, planes, edges, total))
    return out


def _has_two(sides: Sequence[Side]) -> bool:
    return len({s.edge.id for s in sides}) < len(sides)


def _in_laps(site: Site, fixings: Sequence[PlaneFixing]) -> list[Use]:
    """Tape in side laps of flat planes, and in end laps."""
    out = []
    for each in fixings:
        case = site.cases[each.plane]
        fixing, plane = case.system.fixing, (each.plane,)
        pack = fixing.pack_of("butyl tape roll")
        is_low = case.plane.slope < fixing.tape.low_slope - COUNT_EPS
        if is_low and each.fastener == "panel screw" and each.side_laps:
            total = math.fsum(each.side_laps)
            source = fixing.source_of("tape.side_laps")
            label, rows = f"side laps on {each.plane_name}", (fixing.tape.side_laps,)
            out.append(Use("butyl tape roll", pack, rows, label, source, plane, (), total))
    for laying in site.layings:
        laps = sum(p.end_lap > 0.0 for p in laying.panels)
        if laps:
            system = site.cases[laying.plane].system
            fixing = system.fixing
            pack, source = fixing.pack_of("butyl tape roll"), fixing.source_of("tape.end_laps")
            label, factors = f"end laps on {laying.plane_name}", (fixing.tape.end_laps, laps)
            ids = ((laying.plane,), ())
            out.append(
                Use(
                    *("butyl tape roll", pack, factors, label, source, *ids),
                    *(system.coverage, True),
                )
            )
    return out


def _on_trim(site: Site, trim: Sequence[TrimRun]) -> list[Use]:
    """Tape along parts of the trim."""
    parts: dict[tuple[str, str], list[TrimRun]] = defaultdict(list)
    for run in trim:
        parts[run.system, run.part].append(run)
    out = []
    for (ident, part), runs in parts.items():
        fixing = site.coverings.systems[ident].fixing
        rule = fixing.trim_of(runs[0].ruling_part)
        total, where = math.fsum(r.length for r in runs), edges_of(runs)
        pack = fixing.pack_of("butyl tape roll")
        rows = (rule.tape,)
        out.append(Use("butyl tape roll", pack, rows, part, rule.source, (), where, total))
    return out


def _beads(site: Site, trim: Sequence[TrimRun]) -> list[Use]:
    """Sealant along edges and at the laps of trim."""
    key = "sealant tube"
    edges: dict[tuple[str, EdgeKind], list[RoofEdge]] = defaultdict(list)
    for edge in site.edges:
        system = site.coverings.trim_system(edge)
        if system is not None and system.fixing.sealant.edges.get(trim_kind(edge)):
            edges[system.id, trim_kind(edge)].append(edge)
    systems = site.coverings.systems
    out = []
    for (ident, kind), some in edges.items():
        fixing = systems[ident].fixing
        total = math.fsum(e.length for e in some)
        beads, source = fixing.sealant.edges[kind], fixing.source_of(f"sealant.edges.{kind}")
        ids = tuple(e.id for e in some)
        pack = fixing.pack_of(key)
        out.append(Use(key, pack, (beads,), f"along each {kind}", source, (), ids, total))
    laps: dict[tuple[str, str], list[TrimRun]] = defaultdict(list)
    for run in trim:
        if run.pieces > 1:
            laps[run.system, run.part].append(run)
    for (ident, part), runs in laps.items():
        fixing = systems[ident].fixing
        rule = fixing.trim_of(runs[0].ruling_part)
        count = sum(r.pieces - 1 for r in runs)
        where, pack = edges_of(runs), fixing.pack_of(key)
        label = f"laps of {part}"
        out.append(Use(key, pack, (count,), label, rule.source, (), where, rule.lap_bead, True))
    return out


def _boots(site: Site) -> list[Use]:
    """A boot on each pipe, with its screws and its bead."""
    out = []
    for opening in site.project.openings():
        if opening.kind != "pipe":
            continue
        second = f"opening {opening.id}"
        around = [e for e in site.edges if e.id.second == second]
        system = _system_around(site, around)
        if system is None:
            continue
        fixing, ids = system.fixing, tuple(e.id for e in around)
        uses = (
            ("pipe boot", (1,), opening.name, "boot", 1.0),
            ("trim screw", (fixing.boot_screws,), f"boot on {opening.name}", "boot_screws", 1.0),
            ("sealant tube", (1,), f"boot on {opening.name}", "sealant.boot", fixing.sealant.boot),
        )
        for key, factors, label, source, length in uses:
            pack, words = fixing.pack_of(key), fixing.source_of(source)
            out.append(Use(key, pack, factors, label, words, (), ids, length, True))
    return out


def _system_around(site: Site, edges: Sequence[RoofEdge]) -> RoofingSystem | None:
    """The system that covers the roof around a pipe, if one does."""
    owners: list[str] = [site.coverings.edges[e.id].covering for e in edges]
    return next((site.coverings.systems[o] for o in owners if o in site.coverings.systems), None)
