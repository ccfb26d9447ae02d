"""Works out cutting plans in a process of its own: a task per line on standard input, the answer
as a line on standard output, both JSON. It ends when its input does."""

from __future__ import annotations

import sys

import msgspec

from roofmodel.cutting import CutPlan, plan_cuts
from roofmodel.errors import RoofmodelError


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
    for line in sys.stdin.buffer:
        answer = answered(msgspec.json.decode(line, type=PlanTask))
        sys.stdout.buffer.write(msgspec.json.encode(answer) + b"\n")
        sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
