"""A scene drawn with pyvista, on any of its plotters: few meshes, changed in place."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from roofmodel.document import NOT_IN_JOB, OTHER
from roofmodel.errors import FileError
from roofmodel.results import Results
from roofmodel.scene import EDGE_LOOKS, Ground, Material, Scene, dashed_segments, scene_of
from roofmodel.systems import EdgeKind
from roofmodel_ui import theme
from roofmodel_ui.selection import Selection

LINE_PX = 3.0
CHOSEN_PX = 10.0
FILL = 0.86
"""Share of the view that the house takes when framed."""

FINE = 0.5
"""Width of the lines around openings, as a share of the others': they are short and many."""

LIFT_MM = 12.0
"""Edges float this far above the planes, so that they are not half hidden in them."""

LINE_NEARER = 2.6
"""Correction to the renderer's own offset of lines, in its steps of depth: its four steps bring
them half a metre nearer on a view with ground, so that they show through the house."""

NEAREST = 0.03
"""Nothing nearer than this share of the farthest is drawn: depths stay exact."""

VIEW_FROM = (-0.75, -1.0, 0.72)
"""The first look: from the south-west, above the eaves."""


_AROUND_OPENINGS = (EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE)


class SceneActors:
    """The meshes of one scene on a plotter. Make it once, then `show` as often as needed."""

    def __init__(self, plotter: Any, line_px: float = LINE_PX) -> None:
        self._plotter = plotter
        self.planes, self.under, self.solids = _no_faces(), _no_faces(), _no_faces()
        self.edges, self.fine, self.chosen = _no_lines(), _no_lines(), _no_lines()
        self.ground = _no_ground()
        plotter.set_background(theme.SKY_LOW, top=theme.SKY_TOP)
        plotter.renderer.SetNearClippingPlaneTolerance(NEAREST)
        # Without these a mesh that is empty now and filled later could not be added.
        common: dict[str, Any] = {"render": False, "reset_camera": False, "pickable": False}
        plotter.add_mesh(self.ground, scalars="color", rgb=True, lighting=False, **common)
        plotter.add_mesh(self.under, color=theme.SOFFIT, ambient=0.45, diffuse=0.55, **common)
        plotter.add_mesh(
            self.solids, scalars="color", rgb=True, ambient=0.66, diffuse=0.38, specular=0.0,
            **common,
        )  # fmt: skip
        plotter.add_mesh(
            self.planes, scalars="color", rgb=True, ambient=0.30, diffuse=0.80, specular=0.0,
            **common,
        )  # fmt: skip
        lines: dict[str, Any] = {"lighting": False, **common}
        _before_faces(plotter.add_mesh(
            self.chosen, color=theme.ACCENT, line_width=CHOSEN_PX, **lines
        ))  # fmt: skip
        for mesh, width in ((self.edges, line_px), (self.fine, line_px * FINE)):
            _before_faces(plotter.add_mesh(
                mesh, scalars="color", rgb=True, line_width=width, **lines
            ))  # fmt: skip

    def show(self, scene: Scene, selection: Selection = frozenset()) -> None:
        """Put a scene's arrays into the meshes that are drawn already."""
        _fill(self.planes, _faces(scene.points, scene.triangles, _plane_colors(scene, selection)))
        _fill(self.under, _faces(scene.under_points, scene.triangles))
        colors = _SOLID_COLORS[scene.solid_material]
        _fill(self.solids, _faces(scene.solid_points, scene.solid_triangles, colors))
        lift = np.array([0.0, 0.0, LIFT_MM])
        segments, owner = dashed_segments(scene)
        palette = np.array([_rgb(EDGE_LOOKS[k].color) for k in scene.kinds], np.uint8)
        colors = palette[owner] if len(owner) else np.zeros((0, 3), np.uint8)
        fine = np.array([k in _AROUND_OPENINGS for k in scene.kinds], bool)[owner]
        _fill(self.edges, _lines(segments[~fine] + lift, colors[~fine]))
        _fill(self.fine, _lines(segments[fine] + lift, colors[fine]))
        chosen = [k for k, e in enumerate(scene.edges) if e in selection]
        picked = scene.segments[chosen]
        _fill(self.chosen, _lines(picked + lift * 0.8, np.zeros((len(picked), 3), np.uint8)))
        _fill(self.ground, _ground(scene.ground))

    def fit(self, scene: Scene, *, turn: bool) -> None:
        """Frame the house; with `turn`, also look from the first direction again."""
        low, high = scene.bounds()
        if not np.any(high > low):
            low, high = np.array([-8e3, -8e3, 0.0]), np.array([8e3, 8e3, 5e3])
        bounds = [v for pair in zip(low.tolist(), high.tolist(), strict=True) for v in pair]
        if turn:
            middle = (low + high) / 2
            self._plotter.camera.focal_point = middle.tolist()
            self._plotter.camera.position = (middle + np.array(VIEW_FROM) * 1e4).tolist()
            self._plotter.camera.up = (0.0, 0.0, 1.0)
        # First roughly, which also sets the clipping range, then exactly.
        self._plotter.reset_camera(render=False, bounds=bounds)
        self._frame(scene)

    def _frame(self, scene: Scene) -> None:
        """Move the camera along its direction until the house just fills the view."""
        points = scene.house_points()
        if not len(points):
            return
        camera = self._plotter.camera
        back = np.array(camera.position) - np.array(camera.focal_point)
        back /= np.linalg.norm(back)
        right = np.cross(np.array(camera.up), back)
        right /= np.linalg.norm(right)
        up = np.cross(back, right)
        width, height = self._plotter.window_size
        tall = math.tan(math.radians(camera.view_angle / 2)) * FILL
        wide = tall * width / max(height, 1)
        middle = (points.min(axis=0) + points.max(axis=0)) / 2
        for _ in range(3):
            seen = points - middle
            x, y, z = seen @ right, seen @ up, seen @ back
            distance = max(
                float(np.max(np.abs(x) / wide + z)), float(np.max(np.abs(y) / tall + z))
            )
            # What is nearer looks larger: move the aim to the middle of the picture.
            depth = distance - z
            shift_x = (np.max(x / depth) + np.min(x / depth)) / 2 * distance
            shift_y = (np.max(y / depth) + np.min(y / depth)) / 2 * distance
            middle = middle + right * shift_x + up * shift_y
        camera.focal_point = middle.tolist()
        camera.position = (middle + back * distance).tolist()
        self._plotter.renderer.ResetCameraClippingRange()


def draw(
    plotter: Any,
    scene: Scene,
    selection: Selection = frozenset(),
    line_px: float = LINE_PX,
) -> SceneActors:
    """Draw a scene on a pyvista plotter and frame it; `line_px` is the width of edges."""
    actors = SceneActors(plotter, line_px)
    actors.show(scene, selection)
    actors.fit(scene, turn=True)
    return actors


def scene_for(results: Results) -> Scene:
    """The scene of what a project comes to."""
    return scene_of(results.surface, results.project)


def save_picture(results: Results, path: Path, size: tuple[int, int] = (1600, 1000)) -> None:
    """The roof in 3D as a PNG file of `size` pixels; needs no display."""
    pv.global_theme.allow_empty_mesh = True
    plotter = pv.Plotter(off_screen=True, window_size=list(size))
    try:
        plotter.enable_anti_aliasing("ssaa")
        # Supersampling thins lines, so they start wider.
        draw(plotter, scene_for(results), line_px=3.2 * LINE_PX)
        try:
            plotter.screenshot(str(path))
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise FileError(
                f"The picture could not be written to {path}: {reason}. Choose another place."
            ) from error
        except ValueError as error:
            raise FileError(
                f"The picture {path.name} needs a name that ends in .png or .jpg."
            ) from error
    finally:
        plotter.close()


def _rgb(color: str) -> tuple[int, int, int]:
    return int(color[1:3], 16), int(color[3:5], 16), int(color[5:7], 16)


_SOLID_COLORS = np.array(
    [
        _rgb(color)
        for _, color in sorted(
            {
                Material.WALL: theme.WALL,
                Material.FASCIA: theme.FASCIA,
                Material.CHIMNEY: theme.CHIMNEY,
                Material.PIPE: theme.PIPE,
                Material.FRAME: theme.FRAME,
                Material.GLASS: theme.GLASS,
            }.items()
        )
    ],
    np.uint8,
)
"""Colours (n, 3) by the number of the material."""


def _plane_colors(scene: Scene, selection: Selection) -> NDArray[np.uint8]:
    """A colour per triangle: the roof's, or a mix with the accent where selected. Planes that
    the crew does not roof in one of the job's systems are quieter."""
    accent = np.array(_rgb(theme.ACCENT))
    quiet = {OTHER: theme.ROOF_OTHER, NOT_IN_JOB: theme.ROOF_APART}
    colors = np.zeros((len(scene.planes), 3), np.uint8)
    for k, (plane, covering) in enumerate(zip(scene.planes, scene.coverings, strict=True)):
        roof = np.array(_rgb(quiet.get(covering, theme.ROOF)))
        colors[k] = roof * 0.45 + accent * 0.55 if plane in selection else roof
    return colors[scene.triangle_plane]


def _faces(
    points: NDArray[np.float64],
    triangles: NDArray[np.int64],
    colors: NDArray[np.uint8] | None = None,
) -> pv.PolyData:
    if not len(triangles):
        return _no_faces()
    packed = np.column_stack([np.full(len(triangles), 3), triangles]).ravel()
    mesh = pv.PolyData(np.array(points), faces=packed)
    mesh.cell_data["color"] = np.zeros((len(triangles), 3), np.uint8) if colors is None else colors
    return mesh


def _lines(segments: NDArray[np.float64], colors: NDArray[np.uint8]) -> pv.PolyData:
    if not len(segments):
        return _no_lines()
    n = len(segments)
    packed = np.column_stack([np.full(n, 2), np.arange(2 * n).reshape(n, 2)]).ravel()
    mesh = pv.PolyData(segments.reshape(-1, 3), lines=packed)
    mesh.cell_data["color"] = colors
    return mesh


def _no_faces() -> pv.PolyData:
    """A face of no size: something must be there for the renderer to keep its actor."""
    mesh = pv.PolyData(np.zeros((3, 3)), faces=[3, 0, 1, 2])
    mesh.cell_data["color"] = np.zeros((1, 3), np.uint8)
    return mesh


def _no_lines() -> pv.PolyData:
    mesh = pv.PolyData(np.zeros((2, 3)), lines=[2, 0, 1])
    mesh.cell_data["color"] = np.zeros((1, 3), np.uint8)
    return mesh


def _no_ground() -> pv.PolyData:
    mesh = pv.PolyData(np.zeros((3, 3)), faces=[3, 0, 1, 2])
    mesh.point_data["color"] = np.zeros((3, 4), np.uint8)
    return mesh


def _fill(mesh: pv.PolyData, new: pv.PolyData) -> None:
    mesh.copy_from(new, deep=False)


def _before_faces(actor: Any) -> None:
    """Draw lines a little nearer than they are: where two faces meet at an edge one of them
    always stands in front of half the line."""
    mapper = actor.GetMapper()
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0, LINE_NEARER)


def _ground(ground: Ground) -> pv.PolyData:
    """The ground, its colour blended between open land and the house's shade."""
    if not len(ground.triangles):
        return _no_ground()
    land, shade = np.array(_rgb(theme.LAND), float), np.array(_rgb(theme.LAND_SHADE), float)
    blended = land + (shade - land) * ground.shade[:, None]
    colors = np.column_stack([blended, 255.0 * ground.cover]).astype(np.uint8)
    packed = np.column_stack([np.full(len(ground.triangles), 3), ground.triangles]).ravel()
    mesh = pv.PolyData(np.array(ground.points), faces=packed)
    mesh.point_data["color"] = colors
    return mesh
