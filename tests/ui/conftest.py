"""The real window, one at a time, with settings and working copies kept out of the user's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths
from pytestqt.qtbot import QtBot

from roofmodel_io.defaults import default_project
from roofmodel_ui.app import application
from roofmodel_ui.files import working_copy
from roofmodel_ui.window import MainWindow


@pytest.fixture(autouse=True)
def _own_folders(qapp: object, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    from PySide6.QtCore import QSettings

    QStandardPaths.setTestModeEnabled(True)
    application()
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path))
    working_copy().unlink(missing_ok=True)
    yield
    working_copy().unlink(missing_ok=True)


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    """An empty project in a shown window, its 3D view drawn."""
    made = MainWindow(default_project())
    # Closing must not ask about unsaved work: nobody is there to answer.
    qtbot.addWidget(made, before_close_func=lambda w: w.session.undo_stack.setClean())
    with qtbot.waitSignal(made.view3d.drawn, timeout=60_000), qtbot.waitExposed(made):
        made.show()
    return made
