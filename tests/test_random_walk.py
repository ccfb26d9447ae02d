"""Random edits with undo and redo, through the session: it ends where it began, and every project
on the way is the same after it was saved and opened. Without a window."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Mapping

import pytest

from roofmodel.document import Project
from roofmodel.results import Results, results_of
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import decode_project, encode_project
from roofmodel_ui import session as session_module
from roofmodel_ui.session import Session
from tests.walking import ARGUMENTS, Edit, Move, next_move, public_edits

PICTURES = {"picture.png": b"a picture"}


def test_no_edit_escapes_the_walk() -> None:
    assert public_edits().keys() == ARGUMENTS.keys()


def known_edits() -> dict[str, Edit]:
    return {name: edit for name, edit in public_edits().items() if name in ARGUMENTS}


def walk(seed: int, steps: int) -> Counter[str]:
    """Walk `steps` edits, undo and redo; how often each edit changed something, or was refused."""
    rnd, edits, done = random.Random(seed), known_edits(), Counter[str]()
    session = Session(default_project())
    sentences: list[str] = []
    session.message.connect(lambda text, _: sentences.append(text))
    history, at = [session.project], 0
    while done.total() < steps:
        stack = session.undo_stack
        dice = rnd.random()
        if dice < 0.2:
            assert stack.canUndo() == (at > 0)
            stack.undo()
            at = max(at - 1, 0)
        elif dice < 0.32:
            assert stack.canRedo() == (at < len(history) - 1)
            stack.redo()
            at = min(at + 1, len(history) - 1)
        else:
            before, move = session.project, _next(rnd, session.project, edits, done)
            if not session.attempt(move.name, move):
                assert session.project is before, move
                assert sentences.pop().endswith("."), move
                done["refused"] += 1
            elif session.project is before:
                done["changed nothing"] += 1
            else:
                assert stack.undoText() == move.name
                history[at + 1 :] = [session.project]
                at += 1
                done[move.name] += 1
        assert session.project is history[at]
        data = encode_project(session.project, PICTURES)
        opened = decode_project(data, "walk.roof")
        assert opened == (session.project, PICTURES)
        assert encode_project(*opened) == data
    last = history[at]
    for back in range(at):
        assert session.project is history[at - back]
        session.undo_stack.undo()
    assert session.project is history[0]
    assert session.project == default_project()
    assert not session.undo_stack.canUndo()
    for _ in range(at):
        session.undo_stack.redo()
    assert session.project is last
    return done


def _next(
    rnd: random.Random, project: Project, edits: Mapping[str, Edit], done: Counter[str]
) -> Move:
    return next_move(rnd, project, edits, edits.keys() - done.keys())


def test_two_thousand_edits_end_where_they_began(monkeypatch: pytest.MonkeyPatch) -> None:
    # Of the results only that there are some matters here: all of them are in the walk below.
    empty = results_of(default_project())

    def no_results(project: object, *, planner: object = None) -> Results:
        return empty

    monkeypatch.setattr(session_module, "results_of", no_results)
    done = walk(6, 2000)
    missing = ARGUMENTS.keys() - done.keys()
    assert not missing
    assert done["refused"] < 800


def test_a_walk_with_everything_counted() -> None:
    walk(6, 60)
