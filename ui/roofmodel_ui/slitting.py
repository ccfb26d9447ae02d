"""The slitting plan of trim, worked out when somebody asks, in a process of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import msgspec
from PySide6.QtCore import QCoreApplication, QObject, Signal

from roofmodel.document import Project
from roofmodel_ui.worker import Worker

if TYPE_CHECKING:
    from roofmodel_ui.session import Session
    from roofmodel_ui.shop_tasks import Slit

WORKER: Final = ("-m", "roofmodel_ui.shop_worker")


class Slitting(QObject):
    """`changed` when there is something else to say: `working`, or `slit`, the last plan."""

    changed = Signal()

    def __init__(self, session: Session, parent: QObject) -> None:
        super().__init__(parent)
        self._session = session
        self.working = False
        self.slit: Slit | None = None
        self._asked: Project | None = None
        self._of: Project | None = None
        self._worker = Worker(self)
        self._worker.answered.connect(self._read)
        self._worker.failed.connect(self._failed)
        session.opened.connect(self._opened)
        if (app := QCoreApplication.instance()) is not None:
            app.aboutToQuit.connect(self._worker.end)

    @property
    def is_current(self) -> bool:
        """Is the plan that of the project as it is now?"""
        from roofmodel_ui.shop_tasks import what_is_slit

        now, then = self._session.project, self._of
        return then is not None and (now == then or what_is_slit(now) == what_is_slit(then))

    def work_out(self) -> None:
        """Ask for the plan of the project as it is now."""
        from roofmodel_ui.shop_tasks import SlittingTask, without_pictures

        self._worker.end()
        self._asked = without_pictures(self._session.project)
        self._worker.send(WORKER, SlittingTask(self._asked))
        self._enter(working=True)

    def cancel(self) -> None:
        """Leave it."""
        self._worker.end()
        self._enter(working=False)

    def _opened(self) -> None:
        """Another project: what is known is about the one before."""
        self.slit = self._of = None
        self.cancel()

    def _read(self, line: bytes) -> None:
        from roofmodel_ui.shop_tasks import Answer, Refused, Slit

        answer: Answer = msgspec.json.decode(line, type=Answer)
        if isinstance(answer, Slit):
            self.slit, self._of = answer, self._asked
        elif isinstance(answer, Refused):
            self._session.message.emit(answer.sentence, True)
        self._worker.end()
        self._enter(working=False)

    def _failed(self) -> None:
        """No process can be had, or it ended by itself."""
        self._enter(working=False)
        self._session.message.emit("The slitting plan could not be worked out: try again.", True)

    def _enter(self, *, working: bool) -> None:
        self.working = working
        self.changed.emit()
