"""A process of the program's own that works on tasks, as the window sees it: a task is a line of
JSON to it, an answer a line back. `answering` is the other end."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import msgspec
from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, Signal

_MOST_MS = 2000
"""So long an ended process may take to go."""


class Worker(QObject):
    """`answered` with each line; `failed` when no process can be had, or it ended by itself."""

    answered = Signal(bytes)
    failed = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.process: QProcess | None = None

    def send(self, arguments: Sequence[str], task: msgspec.Struct) -> None:
        """Give the process a task; where none runs one is started: Python with these arguments."""
        if self.process is None:
            process = QProcess(self)
            surroundings = QProcessEnvironment.systemEnvironment()
            surroundings.insert("PYTHONPATH", os.pathsep.join(p for p in sys.path if p))
            process.setProcessEnvironment(surroundings)
            process.setProgram(sys.executable)
            process.setArguments(list(arguments))
            process.readyReadStandardOutput.connect(self.read)
            process.errorOccurred.connect(self._failed)
            process.finished.connect(self._failed)
            self.process = process
            process.start()
        self.process.write(msgspec.json.encode(task) + b"\n")

    def read(self) -> None:
        """Tell what has been answered. An answer may lead to the end of the process."""
        process = self.process
        while process is not None and process is self.process and process.canReadLine():
            self.answered.emit(bytes(process.readLine().data()))

    def end(self) -> None:
        """End the process, whatever it is at; the next task has another one."""
        process, self.process = self.process, None
        if process is None:
            return
        for signal in (process.readyReadStandardOutput, process.errorOccurred, process.finished):
            signal.disconnect()
        process.kill()
        process.waitForFinished(_MOST_MS)
        process.deleteLater()

    def _failed(self) -> None:
        self.end()
        self.failed.emit()
