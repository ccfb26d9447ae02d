"""A scene drawn with pyvista, on any of its plotters: few meshes, changed in place."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from roofmodel.document import NOT_IN_JOB, OTHER
from roofmodel.errors import FileError
from roofmodel.results import Results
from roofmodel.scene import EDGE_LOOKS, Ground, Material, Scene, dashed_segments, scene_of
from roofmodel.scene.laid import laid_on
from roofmodel.scene.ribs import Ribs, ribs_of
from roofmodel.systems import EdgeKind
from roofmodel_ui import theme
from roofmodel_ui.selection import Selection
from roofmodel_ui.view3d.camera import VIEW_ANGLE, Camera
from roofmodel_ui.view3d.meshes import Mesh, segments

LINE_PX = 3.0
CHOSEN_PX = 10.0

FINE = 0.5
"""Width of the lines around openings, as a share of the others': they are short and many."""

LIFT_MM = 12.0
"""Edges float this far above the planes, so that they are not half hidden in them."""

LINE_NEARER = 2.6
"""Correction to the renderer's own offset of lines, in its steps of depth: its four steps bring
them half a metre nearer on a view with ground, so that they show through the house."""

NEAREST = 0.03
"""Nothing nearer than this share of the farthest is drawn: depths stay exact."""

_AROUND_OPENINGS = (EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE)


class SceneActors:
    """The meshes of one scene on a plotter. Make it once, then `show` as often as needed."""

    def __init__(self, plotter: Any, line_px: float = LINE_PX) -> None:
        self._plotter = plotter
        self.planes, self.under, self.solids, self.ribs = Mesh(3), Mesh(3), Mesh(3), Mesh(3)
        self.edges, self.fine, self.chosen = Mesh(2), Mesh(2), Mesh(2)
        self.ground = Mesh(3, color_points=True, channels=4)
        plotter.renderer.SetNearClippingPlaneTolerance(NEAREST)
        # Without these a mesh that is empty now and filled later could not be added.
        common: dict[str, Any] = {"render": False, "reset_camera": False, "pickable": False}
        own = {"scalars": "color", "rgb": True, "show_scalar_bar": False, **common}
        common["show_scalar_bar"] = False
        plotter.add_mesh(self.ground.poly, lighting=False, **own)
        self._under = plotter.add_mesh(
            self.under.poly, color=theme.SOFFIT, ambient=0.45, diffuse=0.55, **common
        )
        plotter.add_mesh(self.solids.poly, ambient=0.66, diffuse=0.38, specular=0.0, **own)
        plotter.add_mesh(self.planes.poly, ambient=0.30, diffuse=0.80, specular=0.0, **own)
        plotter.add_mesh(self.ribs.poly, ambient=0.30, diffuse=0.80, specular=0.0, **own)
        self._chosen = plotter.add_mesh(
            self.chosen.poly, color=theme.ACCENT, lighting=False, **common
        )
        self._lines = [(self._chosen, CHOSEN_PX * line_px / LINE_PX)]
        for mesh, width in ((self.edges, line_px), (self.fine, line_px * FINE)):
            self._lines.append((plotter.add_mesh(mesh.poly, lighting=False, **own), width))
        for actor, _ in self._lines:
            _before_faces(actor)
        self.widen(1.0)
        self.dress()

    def count(self) -> int:
        """How many actors there are."""
        return len(self._plotter.renderer.actors)

    def widen(self, factor: float) -> None:
        """Draw lines this much wider: on a screen of fine pixels, or in a large picture."""
        for actor, width in self._lines:
            actor.GetProperty().SetLineWidth(width * factor)

    def dress(self) -> None:
        """Take up the theme's colours; `show` brings those of roof and house."""
        self._plotter.set_background(theme.SKY_LOW, top=theme.SKY_TOP)
        self._under.prop.color = theme.SOFFIT
        self._chosen.prop.color = theme.ACCENT

    def show(self, scene: Scene, selection: Selection = frozenset()) -> None:
        """Put a scene's arrays into the meshes that are drawn already."""
        self.planes.put(
            scene.points,
            scene.triangles,
            _colors_of_planes(scene, selection)[scene.triangle_plane],
        )
        self.under.put(scene.under_points, scene.triangles)
        colors = _solid_colors()[scene.solid_material]
        self.solids.put(scene.solid_points, scene.solid_triangles, colors)
        lift = np.array([0.0, 0.0, LIFT_MM])
        dashes, owner = dashed_segments(scene)
        palette = np.array([_rgb(EDGE_LOOKS[k].color) for k in scene.kinds], np.uint8)
        colors = palette[owner] if len(owner) else np.zeros((0, 3), np.uint8)
        fine = np.array([k in _AROUND_OPENINGS for k in scene.kinds], bool)[owner]
        self.edges.put(*segments(dashes[~fine] + lift), colors[~fine])
        self.fine.put(*segments(dashes[fine] + lift), colors[fine])
        chosen = [k for k, e in enumerate(scene.edges) if e in selection]
        self.chosen.put(*segments(scene.segments[chosen] + lift * 0.8))
        ground = scene.ground
        self.ground.put(ground.points, ground.triangles, _ground_colors(ground))

    def show_ribs(self, ribs: Ribs, scene: Scene, selection: Selection = frozenset()) -> None:
        """Put ribs on the scene, each of the colour of its plane."""
        colors = dict(zip(scene.planes, _colors_of_planes(scene, selection), strict=True))
        own = np.array([colors[p] for p in ribs.planes], np.uint8).reshape(-1, 3)
        self.ribs.put(ribs.points, ribs.triangles, own[ribs.triangle_plane])


def save_picture(results: Results, path: Path, size: tuple[int, int] = (1600, 1000)) -> None:
    """The roof in 3D as a PNG file of `size` pixels; needs no display."""
    pv.global_theme.allow_empty_mesh = True
    plotter = pv.Plotter(off_screen=True, window_size=list(size))
    try:
        plotter.enable_anti_aliasing("ssaa")
        scene = scene_of(results.surface, results.project)
        with theme.on_paper():
            # Supersampling thins lines, so they start wider.
            actors = SceneActors(plotter, line_px=3.2 * LINE_PX)
            actors.show(scene)
            laid = laid_on(results.surface.planes, results.take_off.layings)
            actors.show_ribs(ribs_of(laid.values(), results.project.systems()), scene)
        camera = Camera().framed(scene.house_points(), (float(size[0]), float(size[1])))
        put_camera(plotter, camera)
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


def put_camera(plotter: Any, camera: Camera) -> None:
    """Look at a plotter's scene through a camera."""
    vtk = plotter.renderer.GetActiveCamera()
    vtk.SetFocalPoint(*camera.focal)
    vtk.SetPosition(*camera.eye().tolist())
    vtk.SetViewUp(*camera.axes()[1].tolist())
    vtk.SetViewAngle(VIEW_ANGLE)
    vtk.SetParallelProjection(camera.parallel)
    vtk.SetParallelScale(camera.half_height())
    plotter.renderer.ResetCameraClippingRange()
    # Else the plotter would choose a camera of its own before its first picture.
    plotter.renderer.camera_set = True


def _rgb(color: str) -> tuple[int, int, int]:
    return int(color[1:3], 16), int(color[3:5], 16), int(color[5:7], 16)


def _solid_colors() -> NDArray[np.uint8]:
    """Colours (n, 3) by the number of the material."""
    colors = {
        Material.WALL: theme.WALL,
        Material.FASCIA: theme.FASCIA,
        Material.CHIMNEY: theme.CHIMNEY,
        Material.PIPE: theme.PIPE,
        Material.FRAME: theme.FRAME,
        Material.GLASS: theme.GLASS,
    }
    return np.array([_rgb(color) for _, color in sorted(colors.items())], np.uint8)


def _colors_of_planes(scene: Scene, selection: Selection) -> NDArray[np.uint8]:
    """A colour per plane: the roof's, or a mix with the accent where selected. Planes that
    the crew does not roof in one of the job's systems are quieter."""
    accent = np.array(_rgb(theme.ACCENT))
    quiet = {OTHER: theme.ROOF_OTHER, NOT_IN_JOB: theme.ROOF_APART}
    colors = np.zeros((len(scene.planes), 3), np.uint8)
    for k, (plane, covering) in enumerate(zip(scene.planes, scene.coverings, strict=True)):
        roof = np.array(_rgb(quiet.get(covering, theme.ROOF)))
        colors[k] = roof * 0.45 + accent * 0.55 if plane in selection else roof
    return colors


def _ground_colors(ground: Ground) -> NDArray[np.uint8]:
    """A colour with its cover per point, blended between open land and the house's shade."""
    land, shade = np.array(_rgb(theme.LAND), float), np.array(_rgb(theme.LAND_SHADE), float)
    blended = land + (shade - land) * ground.shade[:, None]
    return np.column_stack([blended, 255.0 * ground.cover]).astype(np.uint8)


def _before_faces(actor: Any) -> None:
    """Draw lines a little nearer than they are: where two faces meet at an edge one of them
    always stands in front of half the line."""
    mapper = actor.GetMapper()
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0.0, LINE_NEARER)
