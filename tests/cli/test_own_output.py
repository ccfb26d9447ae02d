"""Standard output holds what the program says, whatever libraries write to it behind its back."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence

import msgspec
import pytest

from roofmodel.cutting import plan_cuts
from roofmodel_ui.plan_worker import PlanAnswer, PlanTask
from tests.cli.test_shop_command import SAMPLE, surroundings

CHATTERS = """
import ctypes
import scipy.optimize as solvers
library, plain = ctypes.CDLL(None), solvers.milp
said = []

def milp(*words, **more):
    said.append(library.puts(b"A line of the solver's own."))
    return plain(*words, **more)

solvers.milp = milp
{then}
"""
"""A solver that writes by way of C, which holds its lines back until the process ends."""

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="C is reached otherwise there")

PLAN = PlanTask(((22, 2), (49, 1), (83, 3), (187, 1)), (154, 406), 0)
"""One for which the solver has a line of its own, at least in some of its versions."""

HARD = PlanTask(((6001, 11), (4127, 13), (2503, 7), (3307, 9), (1907, 17)), (10000,), 13)
"""One that the integer programme is asked for."""


def said(code: str, given: bytes = b"") -> tuple[bytes, bytes]:
    done = subprocess.run(
        [sys.executable, "-c", code],
        input=given,
        capture_output=True,
        env=surroundings(),
        check=False,
        timeout=240,
    )
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout, done.stderr


def answers(tasks: Sequence[PlanTask], code: str) -> tuple[list[PlanAnswer], bytes]:
    given = b"".join(msgspec.json.encode(t) + b"\n" for t in tasks)
    out, errors = said(code, given)
    return [msgspec.json.decode(line, type=PlanAnswer) for line in out.splitlines()], errors


def test_a_worker_answers_only_with_answers() -> None:
    code = CHATTERS.format(then="from roofmodel_ui.plan_worker import main; main()")
    found, errors = answers((PLAN, HARD), code)
    for task, answer in zip((PLAN, HARD), found, strict=True):
        assert answer == PlanAnswer(task, plan_cuts(dict(task.wanted), task.stocks, task.kerf))
    assert b"A line of the solver's own." in errors


def test_the_solvers_own_line_reaches_no_reader() -> None:
    """Without anything faked: silent or not, there is one line and it is the answer."""
    found, _ = answers((PLAN,), "from roofmodel_ui.plan_worker import main; main()")
    assert len(found) == 1
    assert found[0].plan is not None


@pytest.mark.parametrize("flushed", ["", "library.fflush(None)"], ids=["at its end", "at once"])
def test_json_is_all_that_a_command_prints(flushed: str) -> None:
    then = f"""
import roofmodel_io.takeoff_json as made
plain_json = made.takeoff_json

def takeoff_json(results):
    library.puts(b"A line of the solver's own.")
    {flushed or "pass"}
    return plain_json(results)

made.takeoff_json = takeoff_json
from roofmodel_ui.cli import main
main(["takeoff", {str(SAMPLE)!r}, "--json"])
"""
    out, errors = said(CHATTERS.format(then=then))
    assert json.loads(out)["planes"]
    assert b"A line of the solver's own." in errors


def test_a_command_without_standard_error_prints_all_the_same() -> None:
    code = f"""
import os, sys
os.close(2)
from roofmodel_ui.cli import main
main(["check", {str(SAMPLE)!r}])
"""
    out, _ = said(code)
    assert out
