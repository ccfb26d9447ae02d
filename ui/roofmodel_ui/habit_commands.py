"""Commands of habits: stages by keys, units, the theme, recent files, the list of commands; and
files dropped on the window."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtGui import QActionGroup, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication

from roofmodel.document import Units
from roofmodel.document.edits import set_units
from roofmodel_ui import settings, theme
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.menus import put_in_order
from roofmodel_ui.recent import RecentMenu
from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow

_UNITS: Final = (
    ("units_8", "Feet and inches to 1/8", Units("feet", 8)),
    ("units_16", "Feet and inches to 1/16", Units("feet", 16)),
    ("units_metric", "Metric", Units("metric")),
)
_THEMES: Final = (("system", "As the system"), ("light", "Light"), ("dark", "Dark"))
PROJECT, SYSTEM = ".roof", ".toml"


def habit_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command

    w, session = window, window.session
    return (
        Command("find", "Help", "Find a command …", partial(open_list, w), "F1",
                "Search everything the program can do."),
        *(Command(f"stage_{n}", "View/Stage", stage, partial(w.show_stage, stage), f"Ctrl+{n}",
                  f"Go to the stage {stage}.") for n, stage in enumerate(STAGES, 1)),
        *(Command(i, "View/Units", title, partial(_set_units, session, units), "",
                  f"Show lengths in {title.lower()}; the roof stays as it is.")
          for i, title, units in _UNITS),
        *(Command(f"theme_{choice}", "View/Colours", title, partial(choose_theme, choice), "",
                  f"Colours of the window: {title.lower()}.") for choice, title in _THEMES),
    )  # fmt: skip


def connect_habits(window: MainWindow) -> None:
    """Menus that are more than commands, marks of the choices, and the drop of files."""
    actions = window.actions_by_id
    put_in_order(window.menus, actions)
    files_menu = window.menu("File")
    files_menu.insertMenu(actions["save"], RecentMenu(window.files.open_recent, files_menu))
    for ids in ([i for i, *_ in _UNITS], [f"theme_{c}" for c, _ in _THEMES]):
        group = QActionGroup(window)
        for each in ids:
            actions[each].setCheckable(True)
            group.addAction(actions[each])

    def check() -> None:
        units = window.session.project.units
        shown = Units("metric") if units.system == "metric" else units
        for each, _, choice in _UNITS:
            actions[each].setChecked(choice == shown)
        actions[f"theme_{_theme()}"].setChecked(True)

    window.session.project_changed.connect(check)
    check()
    app = QApplication.instance()
    if isinstance(app, QApplication):
        app.styleHints().colorSchemeChanged.connect(dress)
    window.dropping = Dropping(window)


def open_list(window: MainWindow) -> None:
    """The searchable list of every command, the one itself left out."""
    from roofmodel_ui.command_list import Entry  # late, as the list itself is

    window.command_list.open(
        [
            Entry(c.menu.replace("/", " "), window.actions_by_id[c.id])
            for c in window.commands.values()
            if c.id != "find"
        ]
    )


def choose_theme(choice: str) -> None:
    """Take a theme, and remember it."""
    settings.THEME.put(choice)
    dress()


def dress(*_: object) -> None:
    """Bring the program's colours up to what is chosen and what the system has."""
    app = QApplication.instance()
    if isinstance(app, QApplication):
        theme.use(theme.wanted(app, _theme()))
        theme.apply(app)


def _theme() -> str:
    choice = settings.THEME.get()
    return choice if choice in theme.CHOICES else "system"


def _set_units(session: Session, units: Units) -> None:
    session.attempt("Set units", lambda p: set_units(p, units))


class Dropping(QObject):
    """Takes files that are dropped anywhere on the window: a project, a roofing system, or what
    lies under the plan."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        window.setAcceptDrops(True)
        for part in (window.plan, window.plan.viewport()):
            part.setAcceptDrops(False)  # so that the window gets what is dropped there
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is not self._window:
            return False
        if isinstance(event, QDragEnterEvent) and _paths(event):
            event.acceptProposedAction()
            return True
        if event.type() == QEvent.Type.Drop and isinstance(event, QDropEvent):
            paths = _paths(event)
            event.acceptProposedAction()
            # After the drop is over: what follows may ask, and the other program waits for it.
            QTimer.singleShot(0, self, lambda: self.take(paths))
            return True
        return False

    def take(self, paths: list[Path]) -> None:
        """Open or load what was dropped: one project, or any number of other files."""
        files = self._window.files
        projects = [p for p in paths if p.suffix.lower() == PROJECT]
        if projects:
            if files.may_leave():
                files.open_path(projects[0])
            return
        for path in paths:
            if path.suffix.lower() == SYSTEM:
                files.add_system_path(path)
            else:
                files.load_picture_path(path)


def _paths(event: QDropEvent) -> list[Path]:
    urls = event.mimeData().urls()
    return [Path(u.toLocalFile()) for u in urls if u.isLocalFile()]


class FirstPaint(QObject):
    """Calls once, after the plan was painted for the first time: what comes then must not keep
    the window from showing."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        window.plan.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, self._window, self._window.slices.start)
        return False
