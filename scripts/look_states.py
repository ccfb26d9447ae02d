"""The states of the window that `look.py` takes pictures of, in the order of the work."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from msgspec.structs import replace
from PySide6.QtTest import QTest

from roofmodel.document import BySlope, Job, Project, Units
from roofmodel.document.edge_shapes import EdgeShape
from roofmodel.document.edits import (
    new_section,
    rename_section,
    set_job,
    set_slope,
    set_units,
)  # fmt: skip
from roofmodel.document.part_edits import new_opening, new_plane, rename_part
from roofmodel.document.starts import StartKind
from roofmodel_io.defaults import default_project
from roofmodel_ui.selection import OutlineEdgeId, PartId
from scripts.draw_aerial import aerial
from scripts.look import FT, Looker
from tests.io.underlays.files import dxf, on_disk, pdf, saved
from tests.ui.estimator import true_house

HOUSE = ((0, 0), (40, 0), (40, 24), (0, 24))
PORCH = ((10, -8), (30, -8), (30, 0), (10, 0))
LOW = BySlope((10 * FT, -8 * FT, 6 * FT), 0.25, 180.0)
LONG = "House of the family at the end of the lane behind the old mill, second storey"


def _ft(corners: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    return [(x * FT, y * FT) for x, y in corners]


def a_house() -> Project:
    """40 by 24 ft with gables, a porch of a drawn plane, a chimney, a skylight and a pipe."""
    project, section = new_section(default_project(), _ft(HOUSE), "Main house")
    project = set_slope(project, section, ["e2", "e4"], None)
    project, _ = new_plane(project, _ft(PORCH), LOW, "Porch")
    for kind, x, y in (("chimney", 28, 16), ("skylight", 12, 5), ("pipe", 33, 6)):
        corners = _ft(((x, y), (x + 2, y), (x + 2, y + 3), (x, y + 3)))
        project, _ = new_opening(project, kind, corners)  # type: ignore[arg-type]
    return project


def _picture(user: Looker, name: str = "from above.png", turn: float = 0.0) -> Path:
    path = user.scratch / name
    aerial(true_house(), 40.0, turn)[0].save(path)
    return path


def _scaled(project: Project) -> Project:
    """Every picture at the scale it came with, as if that had been set."""
    return replace(project, underlays=tuple(replace(u, scaled=True) for u in project.underlays))


def place(user: Looker) -> None:
    """Place with nothing, one picture, the scale tool, many pictures, a DXF drawing."""
    user.begin()
    user.shot("place_nothing")
    user.load(_picture(user))
    user.shot("place_picture_without_scale")
    user.click(user.plan.to_plan(user.plan.viewport().rect().center().toPointF()))
    user.shot("place_scale_first_point")
    user.begin()
    user.load(_picture(user))
    user.window.session.attempt("Set scale", _scaled)
    user.command("select")
    user.shot("place_picture")
    for tool in ("move_picture", "level_picture", "measure"):
        user.command(tool)
        user.shot(f"place_{tool}")
    user.command("select")
    for k, turn in enumerate((10, 20, 30, 40, 50, 60, 70)):
        name = f"{'a picture with a very long name that says where it is from ' * (k == 2)}{k}.png"
        user.load(_picture(user, name, turn))
    user.command("select")
    user.shot("place_many_pictures")


def place_drawing(user: Looker) -> None:
    """A DXF drawing under the plan."""
    user.begin()
    document = dxf()
    space = document.modelspace()
    space.add_lwpolyline([(x * 12, y * 12) for x, y in HOUSE], close=True)
    space.add_line((0, 144), (480, 144), dxfattribs={"layer": "RIDGE"})
    for k in range(14):
        document.layers.add(f"LAYER {k}")
        space.add_line((0, 12 * k), (-60, 12 * k), dxfattribs={"layer": f"LAYER {k}"})
    user.load(on_disk(user.scratch, "plan.dxf", saved(document)))
    user.shot("place_drawing")


def place_pages(user: Looker) -> None:
    """The question which page of a PDF; the page loaded."""
    user.begin()
    path = on_disk(user.scratch, "plan.pdf", pdf(*((612, 792), (1224, 792)) * 4))
    user.over("dialog_pages", lambda: user.window.files.load_picture_path(path))


def place_job(user: Looker) -> None:
    """Long words about the job, metric."""
    job = Job(name=LONG, client=LONG, place="1 Example Lane, behind the mill", notes=LONG)
    user.begin(set_units(set_job(a_house(), job), Units("metric")))
    user.shot("place_long_metric")


def shape_nothing(user: Looker) -> None:
    user.begin(stage="Shape")
    user.shot("shape_nothing")
    user.command("outline")
    user.shot("shape_outline_begun")
    user.command("select")


def shape_tracing(user: Looker) -> None:
    """A half-traced outline with a mark of snapping, over a picture; then rectangle."""
    user.begin()
    user.load(_picture(user))
    user.window.session.attempt("Set scale", _scaled)
    user.window.show_stage("Shape")
    user.command("outline")
    user.window.zoom_to_fit()
    for corner in ((0, 0), (40, 0), (40, 20), (20, 20)):
        user.click(user.ft(*corner))
    user.shot("shape_tracing_snap", fit=False, before=lambda: user.point(20, 0))
    QTest.keyClicks(user.plan, "24' 6")
    user.wait()
    user.shot("shape_tracing_typed", fit=False)
    user.window.tools["outline"].cancel()
    user.command("rectangle")
    user.click(user.ft(0, 0))
    user.shot("shape_rectangle", fit=False, before=lambda: user.point(30, 0))
    user.window.tools["rectangle"].cancel()
    user.command("select")


def shape_starts(user: Looker) -> None:
    """The form of ready-made bodies, each kind that has fields of its own."""
    user.begin(a_house(), "Shape")
    user.command("ready")
    for kind in (StartKind.GABLE, StartKind.GAMBREL, StartKind.TEE, StartKind.PORCH):
        user.window.shape.ready.kind.buttons[kind].click()
        user.shot(f"shape_ready_{kind.lower()}", before=lambda: user.point(22, 12))
    user.command("select")


def shape_tools(user: Looker) -> None:
    """Dormer, drawn plane, opening, measuring."""
    user.begin(a_house(), "Shape")
    user.command("dormer")
    user.shot("shape_dormer", before=lambda: user.point(20, 6))
    user.command("plane")
    user.window.zoom_to_fit()
    for corner in ((0, -2), (8, -2)):
        user.click(user.ft(*corner))
    user.shot("shape_plane", fit=False, before=lambda: user.point(8, -7))
    user.window.tools["plane"].cancel()
    user.command("opening")
    user.shot("shape_opening", before=lambda: user.point(20, 6))
    user.command("measure")
    user.window.zoom_to_fit()
    user.click(user.ft(0, 0))
    user.click(user.ft(40, 24))
    user.shot("shape_measure", fit=False, before=lambda: user.point(40, 0))
    user.window.tools["measure"].cancel()
    user.command("select")


def shape_tape(user: Looker) -> None:
    """The tape list: empty, good, wrong."""
    from roofmodel_ui.measurements import open_measurements

    user.begin(stage="Shape")
    for name, text in (
        ("empty", ""), ("good", "40' E\n24' N\n16' W\nR 12'\nL 24'\n36' S"),
        ("nearly_closed", "40' E\n24' N\n40' 3\" W\n24' S"), ("wrong", "40' E\nover there\n24 @"),
    ):  # fmt: skip
        dialog = open_measurements(user.window)
        dialog.text.setPlainText(text)
        user.beside(f"dialog_tape_{name}", dialog)


def shape_selected(user: Looker) -> None:
    """The form of each kind of thing that can be selected."""
    user.begin(a_house(), "Shape")
    session = user.window.session
    user.shot("shape_house")
    session.select([PartId("s1")])
    user.shot("shape_section")
    plane = session.results.surface.planes[0]
    session.select([plane.id])
    user.shot("shape_roof_plane")
    for edge in session.results.surface.edges:
        if edge.kind == "ridge":
            session.select([edge.id])
            user.shot("shape_ridge")
            break
    session.select([OutlineEdgeId("s1", e) for e in ("e1", "e2", "e3")])
    user.shot("shape_several_edges")
    session.select([OutlineEdgeId("s1", "e2")])
    for shape in EdgeShape:
        if shape is EdgeShape.OTHER:
            continue
        user.window.shape.edges.shape.buttons[shape].click()
        user.shot(f"shape_edge_{shape.replace(' ', '_')}")


def shape_drawn_plane(user: Looker) -> None:
    user.begin(a_house(), "Shape")
    session = user.window.session
    plane = session.project.planes()[0].id
    session.select([PartId(plane)])
    form = user.window.shape.plane
    for way in ("slope", "heights", "edge"):
        form._take_way(way)
        user.shot(f"shape_drawn_plane_{way}")


def shape_openings(user: Looker) -> None:
    user.begin(a_house(), "Shape")
    for opening in user.window.session.project.openings():
        user.window.session.select([PartId(opening.id)])
        user.shot(f"shape_opening_{opening.kind}")


def shape_dormer_selected(user: Looker) -> None:
    user.sample("elder_brook_dormers")
    user.shot("shape_dormers")
    for part in ("s3", "s4", "s5"):
        user.window.session.select([PartId(part)])
        user.shot(f"shape_dormer_{part}")


def shape_crowded(user: Looker) -> None:
    """The large sample, whole and near; a building; everything selected."""
    user.sample("fern_hill_manor")
    user.shot("manor")
    user.window.session.select([p.id for p in user.window.session.results.surface.planes])
    user.shot("manor_all_selected")
    user.window.session.select([PartId(user.window.session.project.buildings[0].id)])
    user.shot("manor_building")
    user.window.session.select([])

    def near() -> None:
        user.window.zoom_to_fit()
        middle = user.plan.to_plan(user.plan.viewport().rect().center().toPointF())
        user.turn_wheel(middle, 12)

    user.shot("manor_near", fit=False, before=near)

    def far() -> None:
        user.window.zoom_to_fit()
        middle = user.plan.to_plan(user.plan.viewport().rect().center().toPointF())
        user.turn_wheel(middle, -14)

    user.shot("manor_far", fit=False, before=far)
    user.window.actions_by_id["units_metric"].trigger()
    user.shot("manor_metric")


def shape_long_names(user: Looker) -> None:
    project = rename_section(a_house(), "s1", LONG)
    ids = [p.id for p in project.planes()] + [o.id for o in project.openings()]
    for k, part in enumerate(ids):
        project = rename_part(project, part, f"{LONG} {k}")
    user.begin(project, "Shape")
    user.window.session.select([PartId("s1")])
    user.shot("shape_long_names")


STATES: Final[tuple[Callable[[Looker], None], ...]] = (
    place, place_drawing, place_pages, place_job, shape_nothing, shape_tracing, shape_starts,
    shape_tools, shape_tape, shape_selected, shape_drawn_plane, shape_openings,
    shape_dormer_selected, shape_crowded, shape_long_names,
)  # fmt: skip
