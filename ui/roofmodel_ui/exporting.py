"""Writes files of a session's project: what they hold is worked out in a process of its own, one
after the other, so that the window stays at work. The window puts it on the disk once it is whole:
cancelling leaves nothing behind."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import msgspec
from PySide6.QtCore import QElapsedTimer, QObject, QProcess, QProcessEnvironment, Signal

from roofmodel.errors import RoofmodelError
from roofmodel_io.atomic import write_whole
from roofmodel_ui.export_tasks import Answer, ExportTask, Kind, Refused
from roofmodel_ui.shop_tasks import without_pictures

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
        self._process: QProcess | None = None

    @property
    def writing(self) -> tuple[str, ...]:
        """Names of the files that are not written yet."""
        return tuple(path.name for path in self._waiting)

    def write(self, path: Path, kind: Kind) -> None:
        """Write a file of the project as it is now."""
        task = ExportTask(without_pictures(self._session.results.project), kind)
        self._waiting.append(path)
        self._running().write(msgspec.json.encode(task) + b"\n")
        self.changed.emit()

    def cancel(self) -> None:
        """Leave unwritten what is not written yet."""
        names = ", ".join(self.writing)
        self._end_process()
        if names:
            self._waiting.clear()
            self.changed.emit()
            self._session.message.emit(f"Cancelled: {names} was not written.", False)

    def finish(self) -> None:
        """The window closes: what was asked for is written yet."""
        timer = QElapsedTimer()
        timer.start()
        while (process := self._process) is not None and self._waiting:
            left = AT_CLOSE_MS - timer.elapsed()
            if left <= 0 or not process.waitForReadyRead(left):
                break
            self._read()
        self._waiting.clear()
        self._end_process()

    def _running(self) -> QProcess:
        if self._process is None:
            process = QProcess(self)
            surroundings = QProcessEnvironment.systemEnvironment()
            surroundings.insert("PYTHONPATH", os.pathsep.join(p for p in sys.path if p))
            process.setProcessEnvironment(surroundings)
            process.setProgram(sys.executable)
            process.setArguments(list(WORKER))
            process.readyReadStandardOutput.connect(self._read)
            process.errorOccurred.connect(self._failed)
            process.finished.connect(self._failed)
            self._process = process
            process.start()
        return self._process

    def _read(self) -> None:
        process = self._process
        while process is not None and process is self._process and process.canReadLine():
            line = bytes(process.readLine().data())
            answer: Answer = msgspec.json.decode(line, type=Answer)
            self._take(self._waiting.pop(0), answer)

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
        """No process can be had, or it ended by itself."""
        names = ", ".join(self.writing)
        self._end_process()
        if names:
            self._waiting.clear()
            self.changed.emit()
            self._session.message.emit(f"{names} could not be written: try again.", True)

    def _end_process(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        for signal in (process.readyReadStandardOutput, process.errorOccurred, process.finished):
            signal.disconnect()
        process.kill()
        process.waitForFinished(1000)
        process.deleteLater()
