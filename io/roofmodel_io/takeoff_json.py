"""The take-off as JSON for other programs; the schema is described in docs/takeoff-json.md.

Lengths mm, areas mm², slopes rise over run, angles degrees; nothing is rounded. The same project
gives the same bytes.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final

import roofmodel
from roofmodel.results import Results
from roofmodel.surface import Plane, RoofEdge
from roofmodel.surface.types import Array
from roofmodel.takeoff import EndCut, Laying, Panel, Quantity, TrimPlan, TrimRun
from roofmodel.takeoff.check_types import Check
from roofmodel.takeoff.fixing_types import PlaneFixing
from roofmodel_io.atomic import write_whole
from roofmodel_io.price_json import price_content

VERSION: Final = 1


def write_takeoff_json(path: str | Path, results: Results) -> None:
    """Write the take-off as UTF-8 JSON; FileError if it cannot be written."""
    write_whole(Path(path), takeoff_json(results).encode("utf-8"))


def takeoff_json(results: Results) -> str:
    """The take-off as JSON text with a line break at its end."""
    content = takeoff_content(results)
    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def takeoff_content(results: Results) -> dict[str, Any]:
    """The take-off as nested dicts and lists, as the schema describes it."""
    project, surface, take_off = results.project, results.surface, results.take_off
    job = project.job
    return {
        "schema": "roofmodel take-off",
        "version": VERSION,
        "program": f"roofmodel {roofmodel.__version__}",
        "units": {"length": "mm", "area": "mm²", "angle": "degrees", "slope": "rise/run"},
        "job": {"name": job.name, "client": job.client, "place": job.place, "notes": job.notes},
        "system": {"id": project.system.id, "name": project.system.name},
        "systems": [{"id": s.id, "name": s.name} for s in project.systems()],
        "buildings": [{"id": b.id, "name": b.name} for b in project.buildings],
        "planes": [_plane(p, take_off.coverings[p.id]) for p in surface.planes],
        "edges": [_edge(e, e.id in take_off.edges) for e in surface.edges],
        "panels": [_panel(p) for p in take_off.panels],
        "layings": [_laying(x) for x in take_off.layings],
        "trim": [_trim(t) for t in take_off.trim],
        "cutting_plans": [_plan(p) for p in take_off.cutting_plans],
        "fixings": [_fixing(f) for f in take_off.fixings],
        "quantities": [_quantity(q) for q in take_off.quantities],
        "checks": [_check(c) for c in take_off.checks],
        "price": price_content(results),
        "warnings": list(take_off.warnings),
        "problems": [
            {
                "sentence": p.sentence,
                "serious": p.serious,
                "section": p.section,
                "places": [[float(v) for v in place] for place in p.places],
            }
            for p in results.problems
        ],
    }


def _plane(plane: Plane, covering: str) -> dict[str, Any]:
    return {
        "id": str(plane.id),
        "name": plane.name,
        "building": plane.building,
        "covering": covering,
        "slope": float(plane.slope),
        "bearing": float(plane.bearing),
        "plan_area": float(plane.plan_area),
        "true_area": float(plane.true_area),
        "vertices": _points(plane.outline),
        "holes": [_points(h) for h in plane.holes],
        "edges": [str(e) for e in plane.edges],
    }


def _edge(edge: RoofEdge, in_job: bool) -> dict[str, Any]:
    return {
        "id": str(edge.id),
        "name": edge.name,
        "kind": edge.kind.value,
        "ends": [[float(v) for v in edge.start], [float(v) for v in edge.end]],
        "length": float(edge.length),
        "planes": [str(p) for p in edge.planes],
        "fold": float(edge.fold),
        "remark": edge.remark,
        "in_job": in_job,
    }


def _panel(panel: Panel) -> dict[str, Any]:
    return {
        "plane": str(panel.plane),
        "plane_name": panel.plane_name,
        "number": panel.number,
        "left": float(panel.left),
        "right": float(panel.right),
        "length": float(panel.length),
        "net_area": float(panel.net_area),
        "gross_area": float(panel.gross_area),
        "vertices": _points(panel.outline),
        "holes": [_points(h) for h in panel.holes],
        "system": panel.system,
        "strip": panel.strip,
        "lower": _end_cut(panel.lower),
        "upper": _end_cut(panel.upper),
        "end_lap": float(panel.end_lap),
    }


def _end_cut(cut: EndCut) -> dict[str, Any]:
    return {
        "shape": cut.shape,
        "angle": cut.angle,
        "hand": cut.hand,
        "lines": [[float(width), float(rise)] for width, rise in cut.lines],
    }


def _laying(laying: Laying) -> dict[str, Any]:
    return {
        "plane": str(laying.plane),
        "plane_name": laying.plane_name,
        "system": laying.system,
        "start": laying.start,
        "offset": float(laying.offset),
        "from_right": laying.from_right,
        "strips": laying.strips,
        "first_width": float(laying.first_width),
        "last_width": float(laying.last_width),
        "narrow": laying.narrow,
        "field_area": float(laying.field_area),
        "remark": laying.remark,
    }


def _fixing(fixing: PlaneFixing) -> dict[str, Any]:
    return {
        "plane": str(fixing.plane),
        "plane_name": fixing.plane_name,
        "system": fixing.system,
        "fastener": fixing.fastener,
        "count": fixing.count,
        "spacing": float(fixing.spacing),
        "edge_spacing": float(fixing.edge_spacing),
        "zone": float(fixing.zone),
        "rows": [
            {
                "kind": row.kind,
                "start": [float(v) for v in row.start],
                "end": [float(v) for v in row.end],
                "places": row.places,
                "each": row.each,
            }
            for row in fixing.rows
        ],
    }


def _trim(run: TrimRun) -> dict[str, Any]:
    return {
        "edges": [str(e) for e in run.edges],
        "edge_name": run.edge_name,
        "kind": run.kind.value,
        "part": run.part,
        "length": float(run.length),
        "needed": float(run.needed),
        "fold": float(run.fold),
        "stock_length": float(run.stock_length),
        "lap": float(run.lap),
        "pieces": run.pieces,
        "cuts": [float(c) for c in run.cuts],
        "how": run.how,
        "note": run.note,
        "plane": None if run.plane is None else str(run.plane),
        "hollow": run.hollow,
        "source": run.source,
        "system": run.system,
        "building": run.building,
    }


def _plan(plan: TrimPlan) -> dict[str, Any]:
    return {
        "part": plan.part,
        "name": plan.name,
        "system": plan.system,
        "building": plan.building,
        "state": plan.state,
        "gap": float(plan.gap),
        "by_metal": plan.by_metal,
        "kerf": float(plan.kerf),
        "waste": float(plan.waste),
        "bars": [
            {
                "stock_length": float(bar.stock_length),
                "cuts": [
                    {"length": float(p.length), "edges": [str(e) for e in p.run.edges]}
                    for p in bar.pieces
                ],
                "offcut": float(bar.offcut),
            }
            for bar in plan.bars
        ],
    }


def _quantity(quantity: Quantity) -> dict[str, Any]:
    return {
        "group": quantity.group,
        "item": quantity.item,
        "unit": quantity.unit,
        "quantity": float(quantity.quantity),
        "how": quantity.how,
        "note": quantity.note,
        "key": quantity.key,
        "packs": quantity.packs,
        "pack": quantity.pack,
        "pack_how": quantity.pack_how,
        "source": quantity.source,
        "planes": [str(p) for p in quantity.planes],
        "edges": [str(e) for e in quantity.edges],
        "building": quantity.building,
        "covering": quantity.covering,
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "rule": check.rule,
        "edition": check.edition,
        "sentence": check.sentence,
        "planes": [str(p) for p in check.planes],
        "edges": [str(e) for e in check.edges],
        "passed": check.passed,
    }


def _points(points: Array) -> list[list[float]]:
    """(n, 3) mm as lists."""
    return [[float(v) for v in point] for point in points]
