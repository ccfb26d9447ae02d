"""Works out cutting plans in a process of its own."""

from __future__ import annotations

import msgspec

from roofmodel.cutting import CutPlan, plan_cuts
from roofmodel.errors import RoofmodelError
from roofmodel_ui.answering import serve, tell


class PlanTask(msgspec.Struct, frozen=True):
    """Pieces wanted (length, how many), stock lengths and the kerf, whole numbers of one unit."""

    wanted: tuple[tuple[int, int], ...]
    stocks: tuple[int, ...]
    kerf: int


class PlanAnswer(msgspec.Struct, frozen=True):
    """The plan of a task, or None where there can be none."""

    task: PlanTask
    plan: CutPlan | None


def answered(task: PlanTask) -> PlanAnswer:
    """The best plan of a task."""
    try:
        return PlanAnswer(task, plan_cuts(dict(task.wanted), task.stocks, task.kerf))
    except RoofmodelError:
        return PlanAnswer(task, None)


def main() -> None:
    """Answer until the input ends."""
    serve(PlanTask, lambda task: tell(answered(task)))


if __name__ == "__main__":
    main()
