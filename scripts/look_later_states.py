"""States of the window that `look.py` takes pictures of, after the drawing is done."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from roofmodel.document import Job
from roofmodel.document.edits import move_corner, set_job
from roofmodel_io.file_lock import FileLock, Owner, take
from roofmodel_io.working_copy import Leftover
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.selection import PartId
from scripts.look import FT, Looker
from scripts.look_states import LONG, a_house

COUNT_TABS: Final = (
    "Quantities",
    "Cut list",
    "Cutting plan",
    "Work",
    "Price",
    "Offers",
    "How sure",
)


def problems(user: Looker) -> None:
    """The list of problems: with mends, with serious ones; a sentence over the plan."""
    user.sample("fern_hill_manor")
    user.window.totals.problems.click()
    user.shot("problems_manor")
    user.window.totals.list.rows[0].go_to[0].click()
    user.shot("problem_gone_to", fit=False)
    user.begin(a_house(), "Shape")
    user.window.session.attempt(
        "Move corner", lambda p: move_corner(p, "s1", 0, 1, (10 * FT, 40 * FT))
    )
    user.window.totals.problems.click()
    user.shot("problems_serious")
    user.window.totals.list.hide()
    user.begin(a_house(), "Shape")
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
    user.begin(a_house(), "Shape")
    user.command("find")
    user.shot("commands_all", before=lambda: user.command("find"))
    for name, words in (("found", "gable"), ("none", "qqq")):
        user.write(user.window.command_list.field, words)
        user.shot(f"commands_{name}", fit=False)
    user.window.command_list.hide()


def menus(user: Looker) -> None:
    user.begin(a_house(), "Shape")
    for title in ("File", "Edit", "Tools", "View", "Help"):
        menu = user.window.menu(title)
        action = menu.menuAction()
        bar = user.window.menuBar()
        at = bar.mapToGlobal(bar.actionGeometry(action).bottomLeft())
        user.shot(
            f"menu_{title.lower()}", fit=False,
            before=lambda m=menu, spot=at: m.popup(spot),  # type: ignore[misc]
        )  # fmt: skip
        menu.close()


def dialogs(user: Looker) -> None:
    """Unsaved work found, a file in use, leaving with changes."""
    from roofmodel_ui.recovery_dialog import RecoveryDialog

    user.begin(a_house(), "Shape")
    files = user.window.files
    user.window.session.attempt("Job", lambda p: set_job(p, Job("Other")))
    user.over("dialog_unsaved", files.may_leave)
    left = [_leftover(user.scratch, k) for k in range(7)]
    for name, some in (("one", left[:1]), ("many", left)):
        user.beside(f"dialog_recovery_{name}", RecoveryDialog(user.window, some))
    path = user.scratch / "shared.roof"
    assert files.save_path(path)
    user.begin(a_house())
    try_for, owner = files.hold.try_for, Owner("office", 1, time.time() - 5000)
    files.hold.try_for = lambda _: owner  # type: ignore[method-assign, assignment]
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


LATER_STATES: Final[tuple[Callable[[Looker], None], ...]] = (
    problems, cover, count, count_search, hand_over, command_list, menus, dialogs, all_stages,
)  # fmt: skip
