"""Exact cutting plans, worked out in the background while the window shows an estimate.

An edit gives every plan that is known or found at once; where the search would take time each
piece has a length of its own until the plan is there. What is to be searched for goes to a
process of its own, a task at a time, the newest request first; stopping ends the process. Plans
that were found stay known, so undo and redo show them at once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Final, Literal

import msgspec
from PySide6.QtCore import QObject, QTimer, Signal

from roofmodel.cutting import CutPlan, known_plan, learn
from roofmodel.document import Project
from roofmodel.results import Results, results_of
from roofmodel_ui.plan_worker import PlanAnswer, PlanTask, answered
from roofmodel_ui.worker import Worker

if TYPE_CHECKING:
    from roofmodel_ui.session import Session

SAY_MS: Final = 300
"""Work that is done sooner is not spoken of."""
PATIENCE_MS: Final = 2000
"""A task that a newer request has no use for is ended when it takes longer: its plan might be
wanted again, and a new process takes a while to start."""

WORKER: Final = ("-m", "roofmodel_ui.plan_worker")

State = Literal["done", "working", "stopped"]


def is_estimate(results: Results) -> bool:
    """Whether some trim is only estimated."""
    return any(plan.state == "estimate" for plan in results.take_off.cutting_plans)


class Planning(QObject):
    """Brings a session's cutting plans up to its project. `changed` when there is something else
    to say: `state`, and whether it lasts long enough to be said (`is_long`)."""

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.state: State = "done"
        self.is_long = False
        self._tasks: list[PlanTask] = []
        self._asked: PlanTask | None = None
        self._noted: tuple[Project, list[PlanTask]] | None = None
        self._hopeless: set[PlanTask] = set()
        self._after: list[tuple[str, Callable[[], object]]] = []
        self._worker = Worker(self)
        self._worker.answered.connect(self._read)
        self._worker.failed.connect(self._failed)
        self._say = QTimer(self, interval=SAY_MS, singleShot=True)
        self._say.timeout.connect(self._grew_long)
        self._patience = QTimer(self, interval=PATIENCE_MS, singleShot=True)
        self._patience.timeout.connect(self._give_up_old)
        self._look = QTimer(self, interval=0, singleShot=True)
        self._look.timeout.connect(self.begin)

    def results_of(self, project: Project) -> Results:
        """What a project comes to with the plans that are known; which are not is noted."""
        tasks: list[PlanTask] = []

        def ask(wanted: Mapping[int, int], stocks: Sequence[int], kerf: int) -> CutPlan | None:
            plan = known_plan(wanted, stocks, kerf)
            task = PlanTask(tuple(sorted(wanted.items())), tuple(stocks), kerf)
            if plan is None and task not in self._hopeless:
                tasks.append(task)
            return plan

        results = results_of(project, planner=ask)
        self._noted = (project, tasks)
        return results

    def look(self) -> None:
        """The session shows other results: see to them once it is done with that."""
        self._tasks = []
        if self._session.is_estimate():
            self._look.start()
        else:
            self._finish()

    def begin(self) -> None:
        """Show every plan that is known, and have the others worked out."""
        session, noted = self._session, self._noted
        self._noted = None
        if noted is None or noted[0] is not session.project or not noted[1]:
            results = self.results_of(session.project)
            noted, self._noted = self._noted, None
            if noted is None or not noted[1]:
                session.take_planned(results)
                self._finish()
                return
        self._tasks = noted[1]
        self._enter("working")
        self._next()

    def stop(self) -> None:
        """Keep the estimate; the process that works on it ends."""
        self._look.stop()
        self._tasks = []
        self._end_process()
        dropped, self._after = self._after, []
        for words, _ in dropped:
            self._session.message.emit(
                f"{words} was not written, for the cutting plan was stopped: write it again.", True
            )
        if self.state == "working":
            self._enter("stopped")

    def then(self, words: str, do: Callable[[], object]) -> None:
        """Do something as soon as the plans are exact; `words` names it."""
        if not self._session.is_estimate():
            do()
            return
        self._after.append((words, do))
        self._session.message.emit(f"{words} follows as soon as the trim is planned.", False)
        self._look.start()

    def shut_down(self) -> None:
        """The window closes."""
        self._look.stop()
        self._tasks, self._after = [], []
        self._end_process()

    def _finish(self) -> None:
        self._enter("done")
        ready, self._after = self._after, []
        for _, do in ready:
            do()

    def _enter(self, state: State) -> None:
        if state == "working":
            if self.state != "working":
                self._say.start()
        else:
            self._say.stop()
            self.is_long = False
        if state != self.state:
            self.state = state
            self.changed.emit()

    def _grew_long(self) -> None:
        self.is_long = True
        self.changed.emit()

    def _next(self) -> None:
        """Have the first of the tasks worked out, unless the process is still at another."""
        if not self._tasks:
            self._look.start()
            return
        if self._asked is not None:
            if self._asked not in self._tasks and not self._patience.isActive():
                self._patience.start()
            return
        self._patience.stop()
        self._asked = self._tasks[0]
        self._worker.send(WORKER, self._asked)

    def _read(self, line: bytes) -> None:
        answer = msgspec.json.decode(line, type=PlanAnswer)
        self._keep(answer)
        self._asked = None
        self._patience.stop()
        self._tasks = [t for t in self._tasks if t != answer.task]
        if self.state == "working":
            self._next()

    def _keep(self, answer: PlanAnswer) -> None:
        task = answer.task
        if answer.plan is None:
            self._hopeless.add(task)
        else:
            learn(dict(task.wanted), task.stocks, task.kerf, answer.plan)

    def _failed(self) -> None:
        """No process can be had, or it ended by itself: work in place, slowly but surely."""
        self._end_process()
        tasks, self._tasks = self._tasks, []
        for task in tasks:
            self._keep(answered(task))
        if tasks:
            self._look.start()

    def _give_up_old(self) -> None:
        if self._asked is not None and self._asked not in self._tasks:
            self._end_process()
            if self.state == "working":
                self._next()

    def _end_process(self) -> None:
        self._patience.stop()
        self._asked = None
        self._worker.end()
