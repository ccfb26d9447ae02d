"""When a list follows the session's results: not while nobody sees it, and in a drag only a few
times a second, so that the drag itself stays quick."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from roofmodel_ui.session import Session

DRAG_MS: Final = 120


class CatchUp(QObject):
    """Calls `refresh` when a panel should show the results again. `stale` until it has."""

    def __init__(self, session: Session, panel: QWidget, refresh: Callable[[], None]) -> None:
        super().__init__(panel)
        self.stale = True
        self._session, self._panel, self._refresh = session, panel, refresh
        self._timer = QTimer(self, interval=DRAG_MS, singleShot=True)
        self._timer.timeout.connect(self._seen)
        session.result_changed.connect(self.later)

    def now(self) -> None:
        """Be up to date, whether seen or not."""
        if self.stale:
            self.stale = False
            self._timer.stop()
            self._refresh()

    def later(self) -> None:
        """There is something else to show."""
        self.stale = True
        if not self._panel.isVisible():
            return
        if not self._session.is_preview():
            self.now()
        elif not self._timer.isActive():
            self._timer.start()

    def _seen(self) -> None:
        if self._panel.isVisible():
            self.now()
