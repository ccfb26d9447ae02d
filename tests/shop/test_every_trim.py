"""Every blank of trim that is drawn for every sample, in both systems, bent by the tests' own
folding from its bend lines alone: it gives the section that is drawn, and its legs lie on both
planes of its edge, which are found from the corners of the roof's planes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.results import Results, results_of
from roofmodel.shop.job import ShopJob, TrimDrawing
from roofmodel.surface import Plane, RoofEdge
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.parts.fold_back import FlatPart, crossing, fold_back, point_at

Array = NDArray[np.float64]

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()
MILLIONTH_OF_AN_INCH = 25.4e-6


def normal_by_corners(plane: Plane) -> Array:
    """The upward unit normal, from the sum of cross products around the outline (Newell)."""
    a, b = plane.outline, np.roll(plane.outline, -1, axis=0)
    n = np.cross(a, b).sum(axis=0)
    out: Array = n / np.linalg.norm(n) * np.sign(n[2])
    return out


class Folded:
    """A blank bent again: its flats that belong to legs, in the order of the section."""

    def __init__(self, drawing: TrimDrawing) -> None:
        blank = drawing.blank
        self.metal = blank.profile.metal
        rows = sorted(
            (b.start[0], b.angle if b.direction == "up" else -b.angle, b.inside_radius)
            for b in blank.bends
            if b.start[0] == b.end[0]
        )
        self.flats, self.arcs = fold_back(
            rows, blank.girth, self.metal.thickness, self.metal.k_factor
        )
        both = blank.profile.start_hem, blank.profile.end_hem
        hems = [0 if h is None else 2 if h.kind == "double" else 1 for h in both]
        self.legs = self.flats[hems[0] : len(self.flats) - hems[1]]
        self.half = self.metal.thickness / 2.0

    def at(self, s: float) -> Array:
        return point_at(s, self.flats, self.arcs, self.metal.thickness)

    def colour(self, flat: FlatPart) -> tuple[Array, Array]:
        """Both ends of its colour side."""
        off = self.half * flat.normal
        return flat.start + off, flat.end + off


@pytest.mark.parametrize("system", SYSTEMS, ids=[s.id for s in SYSTEMS])
@pytest.mark.parametrize("place", SAMPLES, ids=lambda p: p.stem)
def test_it_folds_to_its_section_and_lies_on_the_roof(place: Path, system: object) -> None:
    chosen = next(s for s in SYSTEMS if s is system)
    project = cover_job(put_system(read_project(place).project, chosen), chosen.id)
    results = results_of(project, planner=None)
    job = ShopJob(results.project, results.surface, results.take_off)
    assert len(job.trim) > 3
    on_both = 0
    for drawing in job.trim:
        made = Folded(drawing)
        s, points = drawing.bent.section("middle")
        again = np.array([made.at(x) for x in s])
        apart = np.linalg.norm(points[:, None] - points[None], axis=2)
        apart_again = np.linalg.norm(again[:, None] - again[None], axis=2)
        assert np.abs(apart - apart_again).max() < MILLIONTH_OF_AN_INCH, drawing.name
        assert len(made.legs) == len(drawing.blank.profile.legs)
        on_both += lies_on_both(made, drawing, results)
    assert on_both > 2


def lies_on_both(made: Folded, drawing: TrimDrawing, results: Results) -> bool:
    """Checks the legs of a part that lies on two planes; False for one that does not."""
    legs = list(zip(drawing.blank.profile.legs, made.legs, strict=True))
    first = [flat for leg, flat in legs if leg.on == "first plane"]
    second = [flat for leg, flat in legs if leg.on == "second plane"]
    if not first or not second:
        return False
    edge = next(e for e in results.surface.edges if e.id == drawing.blank.run.edges[0])
    one, two = sides_of(edge, results)
    a, b = first[-1], second[0]
    corner = crossing(made.colour(a)[0], a.way, made.colour(b)[0], b.way)
    # walked with the colour side up, a leg on a plane comes out of it to the edge along `across`
    along = (edge.end - edge.start) / np.linalg.norm(edge.end - edge.start)
    across = np.cross(along, one)
    plane = next(p for p in results.surface.planes if p.id == edge.planes[0])
    inside = shapely.Polygon(plane.outline[:, :2], [hole[:, :2] for hole in plane.holes])
    middle = (edge.start + edge.end) / 2.0
    if inside.distance(shapely.Point((middle + across)[:2])) < inside.distance(
        shapely.Point((middle - across)[:2])
    ):
        across = -across
    far = farthest_off(made, second, corner, a, across, one, two)
    assert far < MILLIONTH_OF_AN_INCH, f"{drawing.name} on {edge.name}: {far} mm"
    return True


def farthest_off(made: Folded, flats: list[FlatPart], corner: Array, first: FlatPart,
                 across: Array, up: Array, normal: Array) -> float:  # fmt: skip
    """How far the colour sides of these flats are from the plane of `normal` through the edge,
    once the first leg runs along `across` with `up` over it, mm."""
    worst = 0.0
    for flat in flats:
        for end in made.colour(flat):
            x, y = float((end - corner) @ first.way), float((end - corner) @ first.normal)
            worst = max(worst, abs(float((x * across + y * up) @ normal)))
    return worst


def sides_of(edge: RoofEdge, results: Results) -> tuple[Array, Array]:
    """The normals of both planes of an edge; the second of a border is upright along it."""
    planes = {p.id: normal_by_corners(p) for p in results.surface.planes}
    normals = [planes[p] for p in edge.planes if p in planes]
    if len(normals) == 2:
        return normals[0], normals[1]
    way = edge.end - edge.start
    upright = np.array([way[1], -way[0], 0.0])
    return normals[0], upright / np.linalg.norm(upright)
