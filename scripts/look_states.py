"""The states of the window that `look.py` takes pictures of, in the order of the work."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from roofmodel.document import BySlope, Job, Project, Units
from roofmodel.document.edge_shapes import EdgeShape
from roofmodel.document.edits import (
    move_corner,
    new_section,
    rename_section,
    set_job,
    set_slope,
    set_units,
)  # fmt: skip
from roofmodel.document.part_edits import new_opening, new_plane, rename_part
from roofmodel.document.starts import StartKind
from roofmodel_io.defaults import default_project
from roofmodel_io.file_lock import FileLock, Owner, take
from roofmodel_io.working_copy import Leftover
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.selection import OutlineEdgeId, PartId
from scripts.draw_aerial import aerial
from scripts.look import FT, Looker
from tests.io.underlays.files import dxf, on_disk, pdf, saved
from tests.ui.estimator import true_house

HOUSE = ((0, 0), (40, 0), (40, 24), (0, 24))
PORCH = ((10, -8), (30, -8), (30, 0), (10, 0))
LOW = BySlope((10 * FT, -8 * FT, 6 * FT), 0.25, 180.0)
LONG = "House of the family at the end of the lane behind the old mill, second storey"
COUNT_TABS = ("Quantities", "Cut list", "Cutting plan", "Work", "Price", "Offers", "How sure")


def _ft(corners: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    return [(x * FT, y * FT) for x, y in corners]


def _house() -> Project:
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
    user.begin(set_units(set_job(_house(), job), Units("metric")))
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
    user.begin(_house(), "Shape")
    user.command("ready")
    for kind in (StartKind.GABLE, StartKind.GAMBREL, StartKind.TEE, StartKind.PORCH):
        user.window.shape.ready.kind.buttons[kind].click()
        user.shot(f"shape_ready_{kind.lower()}", before=lambda: user.point(22, 12))
    user.command("select")


def shape_tools(user: Looker) -> None:
    """Dormer, drawn plane, opening, measuring."""
    user.begin(_house(), "Shape")
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
    user.begin(_house(), "Shape")
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
    user.begin(_house(), "Shape")
    session = user.window.session
    plane = session.project.planes()[0].id
    session.select([PartId(plane)])
    form = user.window.shape.plane
    for way in ("slope", "heights", "edge"):
        form._take_way(way)
        user.shot(f"shape_drawn_plane_{way}")


def shape_openings(user: Looker) -> None:
    user.begin(_house(), "Shape")
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
    project = rename_section(_house(), "s1", LONG)
    for k, part in enumerate([*project.planes(), *project.openings()]):
        project = rename_part(project, part.id, f"{LONG} {k}")
    user.begin(project, "Shape")
    user.window.session.select([PartId("s1")])
    user.shot("shape_long_names")


def problems(user: Looker) -> None:
    """The list of problems: with mends, with serious ones; a sentence over the plan."""
    user.sample("fern_hill_manor")
    user.window.totals.problems.click()
    user.shot("problems_manor")
    user.window.totals.list.rows[0].go_to[0].click()
    user.shot("problem_gone_to", fit=False)
    user.begin(_house(), "Shape")
    user.window.session.attempt(
        "Move corner", lambda p: move_corner(p, "s1", 0, 1, (10 * FT, 40 * FT))
    )
    user.window.totals.problems.click()
    user.shot("problems_serious")
    user.window.totals.list.hide()
    user.begin(_house(), "Shape")
    user.window.session.message.emit(
        "Squared up: moved corner 1 by 2 in, corner 3 by 1 in.", False
    )
    user.shot("notice")
    user.window.session.select([PartId("s1")])
    user.write(user.window.shape.section.eave, "somewhere up there")
    QTest.keyClick(user.window.shape.section.eave, Qt.Key.Key_Return)
    user.shot("notice_error")


def cover(user: Looker) -> None:
    user.begin(stage="Cover")
    user.shot("cover_nothing")
    user.sample("alder_flat_ranch", "Cover")
    user.shot("cover_ranch")
    plane = user.window.session.results.surface.planes[0]
    user.window.session.select([plane.id])
    user.shot("cover_plane")
    user.sample("fern_hill_manor", "Cover")
    user.shot("cover_manor")
    bar = user.window.side.forms.verticalScrollBar()
    for k, share in enumerate((0.35, 0.7, 1.0)):
        user.shot(f"cover_manor_lower_{k}",
                  before=lambda s=share: bar.setValue(round(s * bar.maximum())))  # type: ignore[misc]  # fmt: skip
    bar.setValue(0)
    planes = user.window.session.results.surface.planes
    user.window.session.select([p.id for p in planes[:5]])
    user.shot("cover_several_planes")


def count(user: Looker) -> None:
    """Each tab of an empty project, of the ranch and of the manor."""
    for name in ("", "alder_flat_ranch", "fern_hill_manor"):
        if name:
            user.sample(name, "Count")
        else:
            user.begin(stage="Count")
        user.quiet()
        panel = user.window.side.count
        for tab in COUNT_TABS:
            panel.show_list(tab)
            user.wait(0.4)
            word = tab.lower().replace(" ", "_")
            user.shot(f"count_{name.split('_')[0] or 'nothing'}_{word}")
        panel.show_list("Quantities")


def count_search(user: Looker) -> None:
    user.sample("fern_hill_manor", "Count")
    user.quiet()
    panel = user.window.side.count
    panel.show_list("Quantities")
    user.write(panel.search, "ridge")
    user.shot("count_search")
    index = next(i for _, i in panel.quantities.model.lines())
    panel.quantities.table.setCurrentIndex(index)
    user.shot("count_search_explained")
    user.write(panel.search, "qqq")
    user.shot("count_found_nothing")
    panel.show_list("Cut list")
    user.shot("count_cuts_found_nothing")
    panel.show_list("Quantities")
    panel.search.clear()
    index = list(panel.quantities.model.lines())[6][1]
    panel.quantities.table.setCurrentIndex(index)
    user.shot("count_explained")
    plane = user.window.session.results.surface.planes[0]
    user.window.session.select([plane.id])
    user.shot("count_about_a_plane")
    user.window.actions_by_id["units_metric"].trigger()
    user.quiet()
    user.shot("count_metric")


def hand_over(user: Looker) -> None:
    user.begin(stage="Hand over")
    user.shot("hand_over_nothing")
    user.sample("fern_hill_manor", "Hand over")
    user.quiet()
    user.shot("hand_over_manor")
    bar = user.window.side.forms.verticalScrollBar()
    user.shot("hand_over_manor_lower", before=lambda: bar.setValue(bar.maximum()))
    bar.setValue(0)


def command_list(user: Looker) -> None:
    user.begin(_house(), "Shape")
    user.command("find")
    user.shot("commands_all", before=lambda: user.command("find"))
    for name, words in (("found", "gable"), ("none", "qqq")):
        user.write(user.window.command_list.field, words)
        user.shot(f"commands_{name}", fit=False)
    user.window.command_list.hide()


def menus(user: Looker) -> None:
    user.begin(_house(), "Shape")
    for title in ("File", "Edit", "Tools", "View", "Help"):
        menu = user.window.menu(title)
        action = menu.menuAction()
        bar = user.window.menuBar()
        at = bar.mapToGlobal(bar.actionGeometry(action).bottomLeft())
        menu.popup(at)
        user.shot(f"menu_{title.lower()}", fit=False)
        menu.close()


def dialogs(user: Looker) -> None:
    """Unsaved work found, a file in use, leaving with changes."""
    from roofmodel_ui.recovery_dialog import RecoveryDialog

    user.begin(_house(), "Shape")
    files = user.window.files
    user.window.session.attempt("Job", lambda p: set_job(p, Job("Other")))
    user.over("dialog_unsaved", files.may_leave)
    left = [_leftover(user.scratch, k) for k in range(7)]
    for name, some in (("one", left[:1]), ("many", left)):
        user.beside(f"dialog_recovery_{name}", RecoveryDialog(user.window, some))
    path = user.scratch / "shared.roof"
    assert files.save_path(path)
    user.begin(_house())
    try_for, owner = files.hold.try_for, Owner("office", 1, time.time() - 5000)
    files.hold.try_for = lambda _: owner  # type: ignore[method-assign]
    try:
        user.over("dialog_in_use", lambda: files.open_path(path))
    finally:
        files.hold.try_for = try_for  # type: ignore[method-assign]


def _leftover(folder: Path, number: int) -> Leftover:
    """Unsaved work as it might be found."""
    lock = take(folder / f"left {number}")
    assert isinstance(lock, FileLock)
    file = folder / f"house {number}.roof" if number % 2 else None
    name, written = LONG if number == 2 else f"House {number}", time.time() - 90000 * number
    return Leftover(folder, name, file, written, lock, "1 Example Lane" * (number > 2), number)


def all_stages(user: Looker) -> None:
    """Each stage of each sample that is not seen elsewhere, to compare them."""
    for name in ("birch_corner_l_hip", "cedar_bend_farmhouse", "dune_hollow_courtyard"):
        user.sample(name)
        user.quiet()
        for stage in STAGES[1:4]:
            user.window.show_stage(stage)
            user.shot(f"{name}_{stage.lower()}")


STATES: Final[tuple[Callable[[Looker], None], ...]] = (
    place, place_drawing, place_pages, place_job, shape_nothing, shape_tracing, shape_starts,
    shape_tools, shape_tape, shape_selected, shape_drawn_plane, shape_openings,
    shape_dormer_selected, shape_crowded, shape_long_names, problems, cover, count, count_search,
    hand_over, command_list, menus, dialogs, all_stages,
)  # fmt: skip
