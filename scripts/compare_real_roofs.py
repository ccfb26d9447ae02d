"""Enter real roofs, given as planes, as drawn planes; compose them; compare areas and edges.

Usage: python scripts/compare_real_roofs.py FILE.json.gz

The file is no part of this repository, and nothing of it may be: it is a sample of a city's open
3D model whose licence was not checked. It holds `parts`, each with `roof_surfaces` of `rings`
(outer first) of [x, y, z] in metres.
Each surface becomes one drawn plane through three points of the plane that fits its corners best.
A drawn plane has one ring: a surface with holes, or one whose ring touches itself, is entered in
pieces without either, cut through the holes from south to north; pieces of one plane that
meet are one plane again once composed.

A part meets the aim if its total true area is that of the file's surfaces to 0.1 %, every edge
has a kind, nothing was left out and nothing raised. Told besides is how much of the sides that
two surfaces of the file share became an edge between two planes (or lies inside one plane, where
both are in one).
"""

from __future__ import annotations

import gzip
import json
import math
import sys
import time
import traceback
from collections import Counter
from typing import Any

import numpy as np
import shapely

from roofmodel.document import Building, ByHeights, DrawnPlane, Project
from roofmodel.results import Results, results_of
from roofmodel.systems import EdgeKind, RoofingSystem, TrimRule

MM = 1000.0
ENOUGH = 1e-3
LEAST_MM2 = 100.0
"""Pieces smaller than a square centimetre are rounding of the file's coordinates."""
SHARED_MM = 5.0
"""Corners of two surfaces this close are one corner of the real roof."""


def system() -> RoofingSystem:
    """A system without set-backs or laps."""
    trim = {k: (TrimRule(f"{k} trim", 3000.0, 0.0),) for k in EdgeKind}
    return RoofingSystem("plain", "Plain panel", 400.0, 0.0, {}, trim)


def true_area(ring: Any) -> float:
    """Area of an (n, 3) ring in its own plane."""
    a = ring - ring[0]
    return float(np.linalg.norm(np.cross(a[1:-1], a[2:]).sum(axis=0))) / 2.0


def pieces(polygon: shapely.Polygon) -> list[shapely.Polygon]:
    """The polygon without holes and without rings that touch themselves, in pieces."""
    if not polygon.is_valid:
        return [q for p in parts_of(shapely.make_valid(polygon)) for q in pieces(p)]
    if not polygon.interiors:
        return [polygon]
    left, bottom, right, top = polygon.bounds
    x = polygon.interiors[0].centroid.x
    halves = (shapely.box(left - 1, bottom - 1, x, top + 1),
              shapely.box(x, bottom - 1, right + 1, top + 1))  # fmt: skip
    return [q for h in halves for p in parts_of(polygon & h) for q in pieces(p)]


def parts_of(shape: Any) -> list[shapely.Polygon]:
    """The polygons of a geometry."""
    return [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"]


def drawn(surface: dict[str, Any], name: str) -> list[DrawnPlane]:
    """One surface of the file as drawn planes (one, unless it has holes)."""
    rings = [np.array(r) * MM for r in surface["rings"]]
    corners = np.concatenate(rings)
    middle = corners.mean(axis=0)
    normal = np.linalg.svd(corners - middle)[2][2]
    gx, gy = -normal[0] / normal[2], -normal[1] / normal[2]
    reach = float(np.ptp(corners[:, :2], axis=0).max())
    x, y, z = (float(v) for v in middle)
    lies = ByHeights(
        ((x, y, z), (x + reach, y, z + float(gx) * reach), (x, y + reach, z + float(gy) * reach))
    )
    whole = shapely.Polygon(rings[0][:, :2], [r[:, :2] for r in rings[1:]])
    out = []
    for piece in pieces(whole):
        if piece.area > LEAST_MM2:
            ring = tuple((float(px), float(py)) for px, py in piece.exterior.coords[:-1])
            number = f"{name}.{len(out) + 1}" if out else name
            out.append(DrawnPlane(number, f"Plane {number}", ring, lies))
    return out


def entered(part: dict[str, Any]) -> Project:
    """A part of the file as a project."""
    planes = [p for k, s in enumerate(part["roof_surfaces"]) for p in drawn(s, f"p{k + 1}")]
    return Project(system(), buildings=(Building("b1", "House", planes=tuple(planes)),))


def shared(part: dict[str, Any], results: Results) -> tuple[float, float]:
    """Length of the sides that two surfaces of the file have in common, mm, and of those that
    became an edge between two planes or vanished inside one."""
    sides = [
        (np.array(a) * MM, np.array(b) * MM, k)
        for k, s in enumerate(part["roof_surfaces"])
        for r in s["rings"]
        for a, b in zip(r, r[1:] + r[:1], strict=True)
    ]
    edges = [e for e in results.surface.edges if len(e.planes) == 2]
    lines = shapely.MultiLineString([(e.start[:2], e.end[:2]) for e in edges])
    inside = [shapely.Polygon(p.outline[:, :2]).buffer(-SHARED_MM) for p in results.surface.planes]
    total = found = 0.0
    for i, (a, b, k) in enumerate(sides):
        for c, d, m in sides[i + 1 :]:
            if k != m and max(np.abs(a - d).max(), np.abs(b - c).max()) <= SHARED_MM:
                length = math.dist(a, b)
                middle = shapely.Point((a + b)[:2] / 2.0)
                total += length
                if lines.distance(middle) <= SHARED_MM or any(p.contains(middle) for p in inside):
                    found += length
    return total, found


def judged(part: dict[str, Any]) -> tuple[list[str], Results | None, float]:
    """What is wrong with a part (nothing: it meets the aim), its results, area found / given."""
    given = 0.0
    for s in part["roof_surfaces"]:
        areas = [true_area(np.array(r) * MM) for r in s["rings"]]
        given += areas[0] - sum(areas[1:])
    try:
        results = results_of(entered(part))
    except Exception:  # the point of the exercise
        return [traceback.format_exc(limit=-2)], None, 0.0
    ratio = sum(p.true_area for p in results.surface.planes) / given
    faults = [p.sentence for p in results.problems if p.serious]
    if abs(ratio - 1.0) > ENOUGH:
        faults.append(f"true area {100 * (ratio - 1):+.3f} %")
    if not all(isinstance(e.kind, EdgeKind) for e in results.surface.edges):
        faults.append("an edge without a kind")
    return faults, results, ratio


def main(path: str) -> int:
    """Print what fails and how many parts meet the aim; 1 if any does not."""
    with gzip.open(path, "rt", encoding="utf-8") as stream:
        parts = json.load(stream)["parts"]
    met, worst, kinds = 0, 0.0, Counter[str]()
    told, found, slowest = 0.0, 0.0, 0.0
    for part in parts:
        start = time.perf_counter()
        faults, results, ratio = judged(part)
        slowest = max(slowest, time.perf_counter() - start)
        if faults:
            print(f"{part['id']}, {len(part['roof_surfaces'])} surfaces: {'; '.join(faults)}")
        else:
            met += 1
            worst = max(worst, abs(ratio - 1.0))
        if results:
            kinds.update(e.kind for e in results.surface.edges)
            lines, joined = shared(part, results)
            told, found = told + lines, found + joined
            if joined < lines:
                print(
                    f"  {part['id']}: only {joined / MM:.2f} m of {lines / MM:.2f} m shared sides"
                )
    print(", ".join(f"{k}: {n}" for k, n in sorted(kinds.items())))
    print(
        f"shared sides that are edges of two planes, or gone inside one: {found / MM:.1f} m"
        f" of {told / MM:.1f} m"
    )
    print(f"slowest part {slowest:.2f} s; worst area among those that meet {worst:.2e}")
    print(f"{met} of {len(parts)} parts meet the aim")
    return 0 if met == len(parts) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
