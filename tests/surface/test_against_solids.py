"""Composed roofs against the same sections united as closed solids by another library.

Each section is a solid down to a floor far below its eave, made from half-spaces (see
`random_compositions`), and manifold3d unites them: with overhang 0 what faces up is what composing
must show. Compared is the visible true area of every plane, to 1e-6 of the roof's.

manifold3d's `Mesh` is single precision; `Mesh64` is double throughout (its kernel too), and its
own tolerance is 1e-12 of the box around a solid: with feet near the origin that is a billionth
of an inch. Compositions in which two lines of the plan pass each other by less than a few
millimetres, but not exactly, are drawn again: Roofmodel heals those on purpose. So is the rare one
(about one in a thousand) whose united solid holds surfaces inside, see `difference`.

All 200: `SOLIDS=200 pytest tests/surface/test_against_solids.py`; without it, 60.
"""

from __future__ import annotations

import itertools
import math
import os
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import manifold3d
import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from roofmodel.results import results_of
from tests.houses import FT, GABLE, box, project
from tests.surface.random_compositions import (
    HalfSpace,
    Profile,
    Recipe,
    all_planes,
    composition,
    half_spaces,
)

Array = NDArray[np.float64]
COUNT = int(os.environ.get("SOLIDS", "60"))
BOX = ((0, 1, 2, 3),)
FLOOR = -50.0
SAME = 1e-6
"""Feet: closer points of two solids are one point that was computed twice."""
NEAR = 0.01
"""Feet: lines that pass each other closer than this, but not exactly, may be healed."""


class Planes:
    """Numbers for planes z = a·x + b·y + c: the same number for the same plane."""

    def __init__(self) -> None:
        self.known: list[tuple[float, float, float]] = []

    def number(self, h: HalfSpace) -> int:
        """The plane's number, from 1."""
        mine = (-h.a / h.c, -h.b / h.c, h.d / h.c)
        for k, other in enumerate(self.known):
            if all(abs(p - q) < 1e-9 for p, q in zip(mine, other, strict=True)):
                return k + 1
        self.known.append(mine)
        return len(self.known)


def solid_of(space: Sequence[HalfSpace], planes: Planes) -> manifold3d.Manifold | None:
    """A convex solid from its half-spaces: every triple of planes may give a corner."""
    walls = [*space, HalfSpace(0.0, 0.0, -1.0, -FLOOR)]
    normal = np.array([(h.a, h.b, h.c) for h in walls])
    size = np.linalg.norm(normal, axis=1)
    normal, far = normal / size[:, None], np.array([h.d for h in walls]) / size
    triples = np.array(list(itertools.combinations(range(len(walls)), 3)))
    square = normal[triples]
    proper = np.abs(np.linalg.det(square)) > 1e-9
    at = np.linalg.solve(square[proper], far[triples[proper]][:, :, None])[:, :, 0]
    at = at[(at @ normal.T <= far + 1e-9).all(axis=1)]
    corners: list[Array] = []
    for p in at:
        if all(float(np.abs(p - q).max()) > 1e-8 for q in corners):
            corners.append(p)
    triangles, faces = [], []
    for k, h in enumerate(walls):
        on = [i for i, p in enumerate(corners) if abs(float(normal[k] @ p - far[k])) < 1e-8]
        if len(on) < 3:
            continue
        middle = np.mean([corners[i] for i in on], axis=0)
        u = corners[on[0]] - middle
        v = np.cross(normal[k], u)
        on.sort(key=lambda i: math.atan2(float((corners[i] - middle) @ v),
                                         float((corners[i] - middle) @ u)
                                         * float(np.linalg.norm(u))))  # fmt: skip
        for i, j in itertools.pairwise(on[1:]):
            triangles.append((on[0], i, j))
            faces.append(planes.number(h) if h.plane else 0)
    if len(corners) < 4:
        return None
    mesh = manifold3d.Mesh64(
        np.array(corners), np.array(triangles, np.uint64), face_id=np.array(faces, np.uint64)
    )
    solid = manifold3d.Manifold(mesh)
    assert solid.status() == manifold3d.Error.NoError
    return solid


def triangles_of(solid: manifold3d.Manifold) -> tuple[Array, Array]:
    """Corners (n, 3, 3) of a solid's triangles and the numbers (n,) of their planes."""
    mesh = solid.to_mesh64()
    points = np.asarray(mesh.vert_properties)[:, :3]
    return points[np.asarray(mesh.tri_verts)], np.asarray(mesh.face_id)


def visible(solid: manifold3d.Manifold, planes: Planes) -> dict[int, float]:
    """True area that faces up, by plane, square feet.

    A triangle belongs to the plane its corners lie on: the number that the other library hands
    down with each triangle is sometimes a neighbour's.
    """
    corners, _ = triangles_of(solid)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1)
    up = normal[:, 2] > 1e-6 * size
    known = np.array(planes.known)
    height = corners[up][:, :, :2] @ known[:, :2].T + known[:, 2]
    off = np.abs(height - corners[up][:, :, 2:]).max(axis=1)
    number = off.argmin(axis=1)
    out: dict[int, float] = defaultdict(float)
    for k, n in zip(number.tolist(), size[up].tolist(), strict=True):
        out[k + 1] += n / 2.0
    return out


def plan_lines(solid: manifold3d.Manifold) -> list[tuple[Array, Array]]:
    """Edges of a solid between different faces, in plan."""
    corners, face = triangles_of(solid)
    seen: dict[tuple[tuple[float, ...], ...], set[int]] = defaultdict(set)
    for number, tri in zip(face.tolist(), corners, strict=True):
        for p, q in itertools.combinations(tri, 2):
            ends = sorted((tuple(p.round(9).tolist()), tuple(q.round(9).tolist())))
            seen[tuple(ends)].add(number)
    return [
        (np.array(p[:2]), np.array(q[:2]))
        for (p, q), faces in seen.items()
        if len(faces) > 1 and math.dist(p[:2], q[:2]) > SAME
    ]


def nearly_meets(sections: Sequence[manifold3d.Manifold]) -> bool:
    """Do lines of the plan pass each other closely, but not exactly?"""
    lines = [line for s in sections for line in plan_lines(s)]
    for a, b in itertools.combinations(sections, 2):
        lines += plan_lines(a ^ b)
    merged = shapely.union_all(shapely.linestrings(np.array(lines)), grid_size=SAME)
    parts = shapely.get_parts(merged)
    corners = np.unique(shapely.get_coordinates(parts), axis=0)
    ends = np.array([shapely.Point(p) for p in corners.tolist()], dtype=object)
    pieces, points = shapely.STRtree(ends).query(parts, predicate="dwithin", distance=NEAR)
    return bool(
        (shapely.distance(parts[pieces], ends[points]) > 2 * SAME).any()
        or len(shapely.STRtree(ends).query(ends, predicate="dwithin", distance=NEAR)[0])
        > len(ends)
    )


def united(recipes: Sequence[Recipe], planes: Planes) -> list[manifold3d.Manifold]:
    """Each section as one solid."""
    out = []
    for recipe in recipes:
        parts = [solid_of(space, planes) for space in half_spaces(recipe)]
        out.append(
            manifold3d.Manifold.batch_boolean(
                [p for p in parts if p is not None], manifold3d.OpType.Add
            )
        )
    return out


def difference(recipes: Sequence[Recipe], entered: Sequence[Recipe] | None = None) -> float | None:
    """The worst plane: visible area apart, as a share of the roof's; None to draw again.
    `entered` are the sections we compose, if not the same ones."""
    planes = Planes()
    solids = united(recipes, planes)
    if nearly_meets(solids):
        return None
    theirs = visible(manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add), planes)
    # what faces up lies over the outlines once; walls that coincide but for rounding may leave a
    # slit in the united solid, with surfaces nobody sees: then it is no measure of ours
    plan = sum(v / math.hypot(1.0, *planes.known[k - 1][:2]) for k, v in theirs.items())
    ground = shapely.union_all([shapely.Polygon(r.corners) for r in recipes]).area
    if abs(plan - ground) > 1e-9 * ground:
        return None
    sections = [r.section(f"s{k}") for k, r in enumerate(entered or recipes)]
    results = results_of(project(*sections))
    assert not [p for p in results.problems if p.serious], results.problems
    number = {
        (f"s{k}", *h.plane): planes.number(h)
        for k, r in enumerate(recipes)
        for h in all_planes(r)
        if h.plane
    }
    ours: dict[int, float] = defaultdict(float)
    for p in results.surface.planes:
        ours[number[p.id.section, p.id.edge, p.id.step]] += p.true_area / FT**2
    whole = sum(theirs.values())
    return max(abs(ours.get(k, 0.0) - theirs.get(k, 0.0)) for k in {*ours, *theirs}) / whole


@pytest.mark.parametrize("tenth", range(10))
def test_visible_areas_agree_with_united_solids(tenth: int) -> None:
    """Every tenth seed each, until a tenth of the count has been compared."""
    compared, seed = 0, tenth
    while compared < COUNT // 10:
        apart = difference(composition(seed))
        if apart is not None:
            assert apart <= 1e-6, f"seed {seed}"
            compared += 1
        seed += 10


def plain(slope: float) -> Profile:
    """An edge that rises at one slope."""
    return ((0.0, slope),)


def test_a_thin_wedge_beside_a_crease_is_not_taken_for_one_plane() -> None:
    """4/12 and 5/12 part by less than a millimetre half an inch beside the line they cross in:
    the higher is seen there all the same."""
    ends = plain(1.0 / 3.0)
    main = Recipe(box(-20.5, 19.75, -3.5, 29.25), (ends, plain(GABLE)) * 2, BOX, 12.0)
    turn = [math.radians(90.0 + 360.0 * k / 7.0) for k in range(7)]
    corners = tuple((-15.5 + 7.0 * math.cos(t), 21.75 + 7.0 * math.sin(t)) for t in turn)
    tower = Recipe(corners, (plain(5.0 / 12.0),) * 7, (tuple(range(7)),), 12.0)
    assert difference([main, tower]) == pytest.approx(0.0, abs=1e-6)


def test_a_cell_halfway_up_which_a_side_runs_is_seen_from_well_inside() -> None:
    """A cell between y = 11 and 15 with a side along y = 13: the point that stands for the cell
    must not lie on that side, where two planes are over it."""
    third, half = plain(1.0 / 3.0), plain(0.5)
    corners = ((36.0, 3.0), (60.0, 3.0), (60.0, 11.0), (44.0, 11.0), (44.0, 19.0), (36.0, 19.0))
    bars = ((0, 1, 2, 5), (0, 3, 4, 5))
    corner = Recipe(corners, (third, plain(GABLE), third, third, third, third), bars, 4.5)
    above: Profile = ((0.0, 0.5), (1.0, GABLE))
    bay = Recipe(box(36, 3, 51, 15), (third, half, above, half), BOX, 4.5)
    assert difference([corner, bay]) == pytest.approx(0.0, abs=1e-9)


def test_the_comparison_sees_a_section_that_is_too_high() -> None:
    """An eighth of an inch too high is told apart: the comparison is no empty promise."""
    main = Recipe(box(0, 0, 40, 24), (plain(0.5), plain(GABLE)) * 2, BOX, 9.0)
    wing = Recipe(box(12, -10, 28, 12), (plain(GABLE), plain(0.5)) * 2, BOX, 9.0)
    recipes = [main, wing]
    assert difference(recipes) is not None
    assert (difference(recipes) or 0.0) <= 1e-6
    wrong = [main, replace(wing, eave=wing.eave + 0.125 / 12.0)]
    assert (difference(recipes, wrong) or 0.0) > 1e-5
