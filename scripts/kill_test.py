"""Kill the program at random moments while it edits and saves, and see what is left.

`python scripts/kill_test.py [--kills 50] [--seed 1]`. Each round starts the real program in a
process of its own (on a virtual display if there is none). It takes up the work that the round
before left, edits and saves at random from a seed and writes down each edit in a journal; then it
is killed outright. Checked after every kill: the project's file opens, and holds what was saved
last; the unsaved work that the next start offers lacks at most the last 5 seconds, and so does the
outline that was being drawn.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "ui"), str(ROOT / "io"), str(ROOT / "scripts")]

import msgspec  # noqa: E402
from virtual_display import needs_virtual_display, virtual_display  # noqa: E402

from roofmodel.document import Point, Project  # noqa: E402
from roofmodel_io.project_file import read_project, write_project  # noqa: E402
from roofmodel_io.working_copy import leftovers  # noqa: E402

LOST_S = 5.0
START_S = 120.0
SHORTEST_S, LONGEST_S = 0.2, 9.0
PICTURE = "picture.png"
SAVE_EVERY = 40
"""One step in so many saves; as many take a picture up or away."""
MOST_CORNERS = 6
"""An outline that is being drawn is given up when it has so many."""


@dataclass(frozen=True)
class Line:
    """A line of the journal: "edit", "saving" or "saved", when, and of which project; "drawn",
    when, and which corners there were by then."""

    what: str
    at: float
    mark: str


def mark_of(project: Project) -> str:
    """A short fingerprint of a project."""
    # Through the file's form: there, 0 and 0.0 are one number.
    same = msgspec.json.decode(msgspec.json.encode(project), type=Project)
    text = msgspec.json.encode(same, order="deterministic")
    return hashlib.sha256(text).hexdigest()[:16]


def ring_mark(corners: Sequence[Point]) -> str:
    """A short fingerprint of an outline that is being drawn."""
    return hashlib.sha256(repr(list(corners)).encode()).hexdigest()[:16]


def child(folder: Path, seed: int) -> int:
    """The program itself, with hands that never rest."""
    os.environ["HOME"] = os.environ["XDG_DATA_HOME"] = os.environ["XDG_CONFIG_HOME"] = str(folder)
    from PySide6.QtCore import QTimer

    from roofmodel_ui.app import application, make_window
    from roofmodel_ui.tools.base import PlanEvent
    from tests.walking import ARGUMENTS, next_move, public_edits

    app = application()
    window = make_window()
    window.show()
    session, files, rnd = window.session, window.files, random.Random(seed)
    file = folder / "house.roof"
    left = files.left_behind()
    if not (left and files.go_on_with(left[0])):
        files.open_path(file)
    for other in left[1:]:
        other.release()
    session.pictures[PICTURE] = (folder / "picture").read_bytes()
    journal = os.open(folder / "journal", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    edits = {name: edit for name, edit in public_edits().items() if name in ARGUMENTS}

    pencil = window.tools["outline"]

    def note(what: str) -> None:
        mark = ring_mark(pencil.kept()) if what == "drawn" else mark_of(session.project)
        os.write(journal, f"{what} {time.time():.3f} {mark}\n".encode())

    def draw() -> None:
        if len(pencil.kept()) == MOST_CORNERS:
            pencil.cancel()
        else:
            at = rnd.uniform(0, 9e4), rnd.uniform(0, 9e4)
            pencil.press(PlanEvent(at, snap=1.0, free=True))
        note("drawn")

    def step() -> None:
        dice = rnd.randrange(SAVE_EVERY)
        if dice == 0:
            note("saving")
            if files.save_path(file):
                note("saved")
        elif dice < 6:
            session.undo_stack.undo()
            note("edit")
        elif dice < 9:
            draw()
        else:
            move = next_move(rnd, session.project, edits)
            session.attempt(move.name, move)
            note("edit")
        QTimer.singleShot(rnd.choice((0, 20, 150)), step)

    note("drawn")
    note("begun")
    QTimer.singleShot(0, step)
    return app.exec()


def read_journal(folder: Path) -> list[Line]:
    lines = []
    for text in (folder / "journal").read_text().splitlines():
        what, at, mark = text.split()
        lines.append(Line(what, float(at), mark))
    return lines


def wait_for_start(process: subprocess.Popen[bytes], folder: Path, known: int) -> None:
    """Until the program edits."""
    limit = time.monotonic() + START_S
    while time.monotonic() < limit:
        if process.poll() is not None:
            raise SystemExit(f"The program ended by itself with {process.returncode}.")
        if (folder / "journal").exists() and len(read_journal(folder)) > known:
            return
        time.sleep(0.05)
    raise SystemExit(f"The program did not start to edit within {START_S:.0f} s.")


def kill_once(folder: Path, seed: int, where: dict[str, str]) -> str:
    """One round; what was found, and SystemExit where that is too little."""
    known = len(read_journal(folder)) if (folder / "journal").exists() else 0
    command = [sys.executable, __file__, "--child", str(folder), "--seed", str(seed)]
    process = subprocess.Popen(command, env=where)
    try:
        wait_for_start(process, folder, known)
        time.sleep(random.Random(seed).uniform(SHORTEST_S, LONGEST_S))
    finally:
        process.kill()
        process.wait()
    killed = time.time()
    lines = read_journal(folder)
    journal = [line for line in lines if line.what != "drawn"]
    saved = read_project(folder / "house.roof").project
    last_saved = max((i for i, e in enumerate(journal) if e.what == "saved"), default=0)
    # A save that was on its way may have come through; one that was reported must have.
    allowed = {e.mark for e in journal[last_saved:] if e.what in ("saved", "saving", "begun")}
    if known and mark_of(saved) not in allowed and last_saved:
        raise SystemExit(f"seed {seed}: the file does not hold what was saved last.")
    kept = mark_of(saved)
    left = leftovers(unsaved_in(folder))
    for each in left:
        each.release()
    if left and not left[0].is_older_than_saved():
        kept = mark_of(left[0].read().project)
    at = max((i for i, e in enumerate(journal) if e.mark == kept), default=-1)
    if at < 0:
        raise SystemExit(f"seed {seed}: what is left was never in the program.")
    later = [e.at for e in journal[at + 1 :] if e.mark != kept]
    lost = killed - later[0] if later else 0.0
    words = f"seed {seed}: {len(lines) - known} steps, lost the last {lost:.1f} s"
    if lost > LOST_S:
        raise SystemExit(f"{words}, more than {LOST_S:.0f} s.")
    drawn = [line for line in lines if line.what == "drawn"]
    ring = ring_mark(left[0].begun[0].corners if left and left[0].begun else ())
    before = max((i for i, e in enumerate(drawn) if e.mark == ring), default=-1)
    missing = [e.at for e in drawn[before + 1 :] if e.mark != ring]
    if before < 0 or (missing and killed - missing[0] > LOST_S):
        raise SystemExit(f"seed {seed}: the outline that was being drawn is not there.")
    words += f", {len(later)} edits, {len(missing)} corners"
    return f"{words}; unsaved work {'offered' if left else 'none'}"


def unsaved_in(folder: Path) -> list[Path]:
    """Where the program with this folder for its home keeps unsaved work."""
    return [p for p in folder.rglob("unsaved") if p.is_dir()]


def run(kills: int, seed: int, folder: Path) -> None:
    """Kill the program so often."""
    from roofmodel_io.defaults import default_project

    write_project(folder / "house.roof", default_project(), {})
    # Large enough that a kill can fall into the middle of writing it.
    (folder / "picture").write_bytes(random.Random(seed).randbytes(8 * 2**20))
    where = dict(os.environ)
    with virtual_display() if needs_virtual_display() else nullcontext(where) as where:
        for number in range(kills):
            sys.stdout.write(f"{number + 1}: {kill_once(folder, seed + number, where)}\n")
            sys.stdout.flush()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--child", type=Path)
    options = parser.parse_args()
    if options.child is not None:
        return child(options.child, options.seed)
    with tempfile.TemporaryDirectory() as folder:
        run(options.kills, options.seed, Path(folder))
    sys.stdout.write(f"{options.kills} kills: nothing older than {LOST_S:.0f} s was lost.\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
