"""What the first look at the window does not need is made later: as soon as somebody asks for it,
else in slices of idle time once the window is there."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from importlib import import_module
from typing import Generic, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

W = TypeVar("W", bound=QWidget)


class Later(QWidget, Generic[W]):
    """The place of a widget that is made when the place is first shown, or when it is asked for.

    It is hidden until it is shown by name, so that nothing is made before that by accident. With
    `words` it is there from the start and shows them until the widget is asked for.
    """

    def __init__(self, make: Callable[[], W], words: str = "") -> None:
        super().__init__()
        self._make = make
        self._made: W | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._words: QLabel | None = None
        if words:
            self._words = QLabel(words, alignment=Qt.AlignmentFlag.AlignCenter, wordWrap=True)
            self._column.addWidget(self._words)
        else:
            self.hide()

    @property
    def made(self) -> W | None:
        """The widget if it is there."""
        return self._made

    def get(self) -> W:
        """The widget, made now if it is not there."""
        if self._made is None:
            self._made = self._make()
            if self._words is not None:
                self._words.hide()
            self._column.addWidget(self._made)
            self._made.show()  # else it would follow a moment later
        return self._made

    def setVisible(self, visible: bool) -> None:
        """Show or hide the place, and what stands in it."""
        if visible and self._words is None:
            self.get()
        super().setVisible(visible)


def run_later(module: str) -> Callable[[], object]:
    """What imports a module and runs it, if it is one that was let wait."""
    return lambda: hasattr(import_module(module), "__path__")


class Slices(QObject):
    """Does one thing after another, each when the window has nothing else to do.

    Each should take less than 50 ms: whoever clicks meanwhile waits no longer than for the one
    in hand. `done` after the last.
    """

    done = Signal()

    def __init__(self, work: Iterable[Callable[[], object]], parent: QObject) -> None:
        super().__init__(parent)
        self._work = deque(work)
        self._stopped = False
        # a timer of 0 ms fires once no event is left
        self._timer = QTimer(self, interval=0, singleShot=True)
        self._timer.timeout.connect(self._next)

    def first(self, work: Callable[[], object]) -> None:
        """Have this done before all else that is left."""
        self._work.appendleft(work)

    def start(self) -> None:
        """Begin; call it once the window is on screen."""
        if not self._stopped:
            self._timer.start()

    def stop(self) -> None:
        """Leave what is not done yet, for good."""
        self._stopped = True
        self._timer.stop()

    def _next(self) -> None:
        if not self._work:
            self.done.emit()
            return
        self._timer.start()  # first, so that one that fails does not keep the others from it
        self._work.popleft()()
