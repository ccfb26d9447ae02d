"""Writes files of a session's project: what they hold is worked out in a process of its own, one
after the other, so that the window stays at work. The window puts it on the disk once it is whole:
cancelling leaves nothing behind."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import msgspec
from PySide6.QtCore import QElapsedTimer, QObject, Signal

from roofmodel.errors import RoofmodelError
from roofmodel_io.atomic import write_whole
from roofmodel_ui.export_tasks import Answer, ExportTask, Kind, Refused
from roofmodel_ui.shop_tasks import without_pictures
from roofmodel_ui.worker import Worker

if TYPE_CHECKING:
    from roofmodel_ui.session import Session

WORKER: Final = ("-m", "roofmodel_ui.export_worker")
AT_CLOSE_MS: Final = 30_000
"""So long a window that closes waits for files that were asked for."""


class Exporting(QObject):
    """`changed` when other files are being written than before; `writing` names them."""

    changed = Signal()

    def __init__(self, session: Session, parent: QObject) -> None:
        super().__init__(parent)
        self._session = session
        self._waiting: list[Path] = []
        self._worker = Worker(self)
        self._worker.answered.connect(self._read)
        self._worker.failed.connect(self._failed)

    @property
    def writing(self) -> tuple[str, ...]:
        """Names of the files that are not written yet."""
        return tuple(path.name for path in self._waiting)

    def write(self, path: Path, kind: Kind) -> None:
        """Write a file of the project as it is now."""
        task = ExportTask(without_pictures(self._session.results.project), kind)
        self._waiting.append(path)
        self._worker.send(WORKER, task)
        self.changed.emit()

    def cancel(self) -> None:
        """Leave unwritten what is not written yet."""
        self._worker.end()
        self._give_up("Cancelled: {} was not written.", False)

    def finish(self) -> None:
        """The window closes: what was asked for is written yet."""
        timer = QElapsedTimer()
        timer.start()
        while (process := self._worker.process) is not None and self._waiting:
            left = AT_CLOSE_MS - timer.elapsed()
            if left <= 0 or not process.waitForReadyRead(left):
                break
            self._worker.read()
        self._waiting.clear()
        self._worker.end()

    def _read(self, line: bytes) -> None:
        self._take(self._waiting.pop(0), msgspec.json.decode(line, type=Answer))

    def _take(self, path: Path, answer: Answer) -> None:
        sentence = answer.sentence if isinstance(answer, Refused) else ""
        if not isinstance(answer, Refused):
            try:
                write_whole(path, answer.data)
            except RoofmodelError as error:
                sentence = str(error)
        self.changed.emit()
        self._session.message.emit(sentence or f"Written to {path.name}.", bool(sentence))

    def _failed(self) -> None:
        self._give_up("{} could not be written: try again.", True)

    def _give_up(self, sentence: str, is_error: bool) -> None:
        """Nothing that waits is written; the sentence has room for its names."""
        names = ", ".join(self.writing)
        if names:
            self._waiting.clear()
            self.changed.emit()
            self._session.message.emit(sentence.format(names), is_error)
