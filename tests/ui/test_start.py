"""What is made late is complete when somebody asks for it at once."""

from __future__ import annotations

import subprocess
import sys

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QTreeView, QWidget
from pytestqt.qtbot import QtBot

from roofmodel import __version__
from roofmodel_io.defaults import default_project
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.later import Later, Slices
from roofmodel_ui.view3d.views import LOOKS
from roofmodel_ui.window import MainWindow
from tests.ui.conftest import give_up
from tests.ui.hands import settle

LATE = (
    "numpy", "shapely", "roofmodel.chain", "roofmodel.takeoff.lines", "roofmodel.skeleton.solver",
    "roofmodel_ui.panels.shape", "roofmodel_ui.tools.outline", "pyvista", "PIL", "typer",
)  # fmt: skip


@pytest.fixture
def bare(qtbot: QtBot) -> MainWindow:
    """A window as it is at its first paint: nothing was made that can be made later."""
    made = MainWindow(default_project())
    made.slices.stop()
    qtbot.addWidget(made, before_close_func=give_up)
    with qtbot.waitExposed(made):
        made.show()
    made.slices.stop()
    return made


def in_view(window: MainWindow) -> set[tuple[str, str]]:
    """What can be read, typed or pressed in the column at the right."""
    kinds = (QAbstractButton, QComboBox, QLineEdit, QTreeView)
    found = set()
    for widget in window.side.findChildren(QWidget):
        if isinstance(widget, kinds) and widget.isVisible():
            text = widget.text() if isinstance(widget, QAbstractButton) else ""
            found.add((type(widget).__name__, widget.accessibleName() or text))
    return found


def click_stage(window: MainWindow, stage: str) -> None:
    QTest.mouseClick(window.strip.buttons[stage], Qt.MouseButton.LeftButton)
    settle()


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_clicked_at_once_is_complete(bare: MainWindow, qtbot: QtBot, stage: str) -> None:
    later = MainWindow(default_project())
    qtbot.addWidget(later, before_close_func=give_up)
    with qtbot.waitSignal(later.slices.done, timeout=30_000), qtbot.waitExposed(later):
        later.show()
    for window in (bare, later):
        click_stage(window, stage)
    assert in_view(bare) == in_view(later)
    assert in_view(bare)


def test_every_tool_is_there_when_it_is_taken_up(bare: MainWindow) -> None:
    tools = {c.id for c in bare.commands.values() if c.tool}
    assert set(bare.tools) == tools
    for name in tools:
        bare.actions_by_id[name].setEnabled(True)
        bare.actions_by_id[name].trigger()
        assert bare.plan.tool is bare.tools[name]
        assert bare.plan.tool in bare.tools.made()


def test_the_3d_view_is_made_when_it_is_asked_for(bare: MainWindow) -> None:
    assert bare.made_view3d is None
    bare.actions_by_id["look_north"].trigger()
    view = bare.made_view3d
    assert view is not None
    assert view.isVisible()
    assert (view.camera.bearing, view.camera.elevation) == LOOKS["north"]
    assert view.tool is bare.plan.tool


def test_a_form_made_late_belongs_to_the_tool_at_hand(bare: MainWindow) -> None:
    bare.side.set_tool("opening")
    assert bare.shape.placing == "opening"


def test_later_is_made_once_and_when_shown(qtbot: QtBot) -> None:
    made: list[QLineEdit] = []

    def make() -> QLineEdit:
        made.append(QLineEdit())
        return made[-1]

    whole, place = QWidget(), Later(make)
    qtbot.addWidget(whole)
    place.setParent(whole)
    whole.show()
    assert place.made is None
    place.hide()
    assert place.made is None
    place.show()
    assert place.made is made[0]
    assert made[0].isVisible()
    assert place.get() is made[0]
    assert len(made) == 1


def test_later_with_words_waits_until_it_is_asked_for(qtbot: QtBot) -> None:
    place = Later(QLineEdit, "Preparing …")
    qtbot.addWidget(place)
    place.show()
    assert place.made is None
    assert place.get().isVisible()


def test_slices_come_in_turn_and_one_that_fails_stops_none(qtbot: QtBot) -> None:
    came: list[str] = []

    def fail() -> None:
        came.append("fails")
        raise ValueError

    parent = QWidget()
    qtbot.addWidget(parent)
    slices = Slices([lambda: came.append("a"), fail, lambda: came.append("b")], parent)
    slices.first(lambda: came.append("first"))
    with qtbot.captureExceptions() as caught, qtbot.waitSignal(slices.done):
        slices.start()
        assert came == []
    assert came == ["first", "a", "fails", "b"]
    assert [kind for kind, *_ in caught] == [ValueError]


def test_slices_can_be_stopped(qtbot: QtBot) -> None:
    came: list[str] = []
    parent = QWidget()
    qtbot.addWidget(parent)
    slices = Slices([lambda: came.append("a")], parent)
    slices.start()
    slices.stop()
    settle()
    assert came == []


def run(code: str) -> str:
    """What a program prints in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path[:0] = {sys.path!r}\n{code}"],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_the_first_paint_waits_for_no_geometry() -> None:
    code = f"""
from roofmodel_ui import begin, first
show_frame = first.show_frame
def then_watch():
    frame = show_frame()
    from roofmodel_ui import later
    later.Slices.start = say
    return frame
def say(slices):
    kinds = {{m: type(sys.modules[m]) for m in {LATE!r} if m in sys.modules}}
    print([m for m, kind in kinds.items() if kind is not first._Waiting], flush=True)
    slices.parent().close()
first.show_frame = then_watch
begin.main([])
"""
    assert run(code) == "[]"


def test_other_words_are_the_command_lines() -> None:
    code = """
from roofmodel_ui import begin
try:
    begin.main(["--version"])
finally:
    print([m for m in sys.modules if m.startswith("PySide6")])
"""
    words = run(code).splitlines()
    assert words == [f"roofmodel {__version__}", "[]"]


@pytest.mark.parametrize(
    "use",
    [
        "import numpy as np; print(np.hypot(3, 4))",
        "import numpy.linalg; print(numpy.linalg.norm([3, 4]))",
        "from numpy import hypot; print(hypot(3, 4))",
        "import shapely; print(shapely.LineString([(0, 0), (3, 4)]).length)",
        "from shapely.geometry import LineString; print(LineString([(0, 0), (3, 4)]).length)",
        "import numpy.typing, shapely.errors, numpy as np; print(np.hypot(3, 4))",
    ],
)
def test_what_was_let_wait_runs_when_it_is_used(use: str) -> None:
    code = f"""
from roofmodel_ui import first
first.import_plainly()
first.let_wait(*first.HEAVY)
import numpy, shapely
assert all(type(sys.modules[m]) is first._Waiting for m in first.HEAVY)
{use}
"""
    assert run(code) == "5.0"
