"""Files opened or saved of late: the menu of them, and the folder that dialogs begin in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from roofmodel_ui import settings

MOST = 10


def recent_files() -> tuple[Path, ...]:
    """The files, the latest first."""
    return tuple(Path(text) for text in settings.RECENT.get() if text)


def remember(path: Path) -> None:
    """A file was opened or saved."""
    path = path.absolute()
    others = [p for p in recent_files() if p != path]
    settings.RECENT.put(tuple(str(p) for p in (path, *others)[:MOST]))
    settings.FOLDER.put(str(path.parent))


def forget(path: Path) -> None:
    """A file could not be opened because it is gone."""
    settings.RECENT.put(tuple(str(p) for p in recent_files() if p != path.absolute()))


def folder() -> Path:
    """Where dialogs begin."""
    kept = Path(settings.FOLDER.get() or ".")
    return kept if kept.is_dir() else Path()


class RecentMenu(QMenu):
    """The files as a menu, read anew each time it opens."""

    def __init__(self, open_path: Callable[[Path], object], parent: QWidget) -> None:
        super().__init__("Open recent", parent)
        self._open_path = open_path
        self.setToolTipsVisible(True)
        self.aboutToShow.connect(self.fill)
        self.fill()

    def fill(self) -> None:
        """Bring the menu up to the list."""
        self.clear()
        files = recent_files()
        for number, path in enumerate(files, 1):
            name = path.name.replace("&", "&&")
            action = QAction(f"&{number}  {name}" if number < 10 else name, self)
            action.setToolTip(str(path))
            action.triggered.connect(lambda _=False, p=path: self._open_path(p))
            self.addAction(action)
        if not files:
            self.addAction("No files yet").setEnabled(False)
            return
        self.addSeparator()
        clear = self.addAction("Forget these files")
        clear.triggered.connect(lambda _=False: settings.RECENT.put(()))
