"""Has tasks of `money_worker` done in a process of its own, one at a time; the newest wins."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

import msgspec
from PySide6.QtCore import QObject, QTimer, Signal

from roofmodel_ui.worker import Worker

if TYPE_CHECKING:
    from roofmodel_ui.money_tasks import Task

WORKER: Final = ("-m", "roofmodel_ui.money_worker")
SAY_MS: Final = 300
"""Work that is done sooner is not spoken of."""

State = Literal["idle", "working", "stopped", "failed"]


class Background(QObject):
    """`told` with every answer but the last; `changed` when there is something else to say:
    `state`, and whether it lasts long enough to be said (`is_long`); `sentence` says why a task
    failed. A new task ends one that is not done; so does `stop`."""

    told = Signal(object)
    changed = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.state: State = "idle"
        self.is_long = False
        self.sentence = ""
        self._worker = Worker(self)
        self._worker.answered.connect(self._take)
        self._worker.failed.connect(self._failed)
        self._say = QTimer(self, interval=SAY_MS, singleShot=True)
        self._say.timeout.connect(self._grew_long)

    def ask(self, task: Task) -> None:
        """Have this done now."""
        if self.state == "working":
            self._worker.end()
        self._enter("working")
        self._worker.send(WORKER, task)

    def stop(self) -> None:
        """Leave the task undone; the process that works on it ends."""
        if self.state == "working":
            self._worker.end()
            self._enter("stopped")

    def shut_down(self) -> None:
        """The window closes."""
        self._say.stop()
        self._worker.end()
        self.state = "idle"

    def _enter(self, state: State, sentence: str = "") -> None:
        self.is_long = False
        if state == "working":
            self._say.start()
        else:
            self._say.stop()
        self.state, self.sentence = state, sentence
        self.changed.emit()

    def _grew_long(self) -> None:
        self.is_long = True
        self.changed.emit()

    def _take(self, line: bytes) -> None:
        from roofmodel_ui.money_tasks import Answer, Done, Refused  # late: nothing was asked yet

        answer = msgspec.json.decode(line, type=Answer)
        if isinstance(answer, Refused):
            self._enter("failed", answer.sentence)
        elif isinstance(answer, Done):
            self._enter("idle")
        else:
            self.told.emit(answer)

    def _failed(self) -> None:
        if self.state == "working":
            self._enter("failed", "This could not be worked out: try again.")
