"""The real window, one at a time, with settings and working copies kept out of the user's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths
from pytestqt.qtbot import QtBot

from roofmodel.document import BySlope
from roofmodel.document.edits import new_section, set_slope
from roofmodel.document.part_edits import new_plane
from roofmodel_io.defaults import default_project
from roofmodel_ui import recovery, theme
from roofmodel_ui.app import application
from roofmodel_ui.window import MainWindow
from tests.ui.hands import FT, settle

HOUSE = tuple((x * FT, y * FT) for x, y in ((0, 0), (40, 0), (40, 24), (0, 24)))
PORCH = tuple((x * FT, y * FT) for x, y in ((10, -8), (30, -8), (30, 0), (10, 0)))
LOW = BySlope((10 * FT, -8 * FT, 6 * FT), 0.25, 180.0)


@pytest.fixture(autouse=True)
def _own_folders(qapp: object, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    from PySide6.QtCore import QSettings

    QStandardPaths.setTestModeEnabled(True)
    application()
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path))
    monkeypatch.setattr(recovery, "data_folder", lambda: tmp_path / "data")
    monkeypatch.setattr(recovery, "spare_folder", lambda: tmp_path / "spare")
    yield
    theme.use("light")


def give_up(window: MainWindow) -> None:
    """Closing must not ask about unsaved work: nobody is there to answer."""
    window.session.undo_stack.setClean()
    for tool in window.tools.values():
        tool.cancel()


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    """An empty project in a shown window, its 3D view drawn."""
    made = MainWindow(default_project())
    qtbot.addWidget(made, before_close_func=give_up)
    with qtbot.waitSignal(made.view3d.drawn, timeout=60_000), qtbot.waitExposed(made):
        made.show()
    return made


@pytest.fixture
def house(window: MainWindow) -> MainWindow:
    """40 x 24 ft, 6/12, gables at both ends, eaves 9 ft up; section s1 in building b1."""
    project, section = new_section(window.session.project, HOUSE, "Main house")
    project = set_slope(project, section, ["e2", "e4"], None)
    window.session.edit("Draw outline", project)
    window.show_stage("Shape")
    window.zoom_to_fit()
    return window


@pytest.fixture
def porch(house: MainWindow) -> MainWindow:
    """The house with a drawn plane p2 south of it, not selected."""
    project, _ = new_plane(house.session.project, PORCH, LOW, "Porch")
    house.session.edit("Draw plane", project)
    house.zoom_to_fit()
    settle()
    return house
