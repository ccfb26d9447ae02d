"""The command line as its users run it: in a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from roofmodel.document import edits
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import write_project

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_projects" / "birch_corner_l_hip.roof"


def run(*words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    paths = os.pathsep.join(str(ROOT / p) for p in (".", "ui", "io"))
    return subprocess.run(
        [sys.executable, "-m", "roofmodel", *map(str, words)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        check=False,
        env={**os.environ, "PYTHONPATH": paths, "PYTHONIOENCODING": "utf-8", "NO_COLOR": "1"},
    )


def fails(code: int, *words: str | Path) -> str:
    """The one line on stderr of a command that must end with `code`."""
    done = run(*words)
    assert done.returncode == code, done
    assert "Traceback" not in done.stderr
    if code == 1:
        assert done.stderr.count("\n") == 1
        assert done.stderr.rstrip().endswith((".", ")"))
    return done.stderr


@pytest.fixture
def crossing(tmp_path: Path) -> Path:
    """A project with one good section and one whose outline crosses itself."""
    project, _ = edits.new_section(
        default_project(), [(0, 0), (9000, 0), (9000, 6000), (0, 6000)], "House"
    )
    project, section = edits.new_section(
        project, [(20000, 0), (29000, 0), (29000, 6000), (20000, 6000)], "Bow"
    )
    project = edits.move_corner(project, section, 0, 1, (29000, 6500))
    project = edits.move_corner(project, section, 0, 2, (29000, 0))
    path = tmp_path / "crossing.roof"
    write_project(path, project, {})
    return path


def test_takeoff_prints_tables() -> None:
    done = run("takeoff", SAMPLE)
    assert done.returncode == 0
    assert done.stderr == ""
    for words in ("Birch Corner house: 22.18 squares", "2218.2 sq ft", "South 1", "15'-8",
                  "Ridge cap, 10'-6\" long", "How it came about", "6/12",
                  "Panels to order", "Total length"):  # fmt: skip
        assert words in done.stdout, words


def test_takeoff_json_is_json_and_nothing_else() -> None:
    done = run("takeoff", SAMPLE, "--json")
    assert done.returncode == 0
    content = json.loads(done.stdout)
    assert len(content["planes"]) == 6
    assert content["job"]["name"] == "Birch Corner house"
    assert done.stdout == run("takeoff", SAMPLE, "--json").stdout


def test_takeoff_writes_csv_and_xlsx(tmp_path: Path) -> None:
    for option, name in (("--csv", "a.csv"), ("--xlsx", "a.xlsx")):
        done = run("takeoff", SAMPLE, option, tmp_path / name)
        assert done.returncode == 0
        assert name in done.stdout
        assert (tmp_path / name).stat().st_size > 1000


def test_only_one_form_at_a_time() -> None:
    assert "--json" in fails(2, "takeoff", SAMPLE, "--json", "--csv", "a.csv")


def test_picture_draws_without_a_display(tmp_path: Path) -> None:
    out = tmp_path / "roof.png"
    done = run("picture", SAMPLE, "--out", out)
    assert done.returncode == 0, done.stderr
    with Image.open(out) as picture:
        assert picture.size == (1600, 1000)
        colours = picture.convert("RGB").getcolors(2**24)
    assert colours is not None
    assert len(colours) > 50
    assert "png" in fails(2, "picture", SAMPLE, "--out", tmp_path / "roof.jpeg").lower()


def test_check(crossing: Path) -> None:
    done = run("check", ROOT / "sample_projects" / "alder_flat_ranch.roof")
    assert done.returncode == 0
    # both buildings have a vented attic and a closed ridge, as a new job has: that is no fault
    assert done.stdout == "Nothing wrong found.\n"
    done = run("check", SAMPLE)
    assert done.returncode == 0
    assert done.stdout.startswith("to check: East 2: panel 12 is under 12 in")
    done = run("check", crossing)
    assert done.returncode == 1
    assert any(line.startswith("serious: Bow") for line in done.stdout.splitlines())
    assert done.stderr.count("\n") == 1


def test_what_can_be_counted_is_counted_and_the_rest_said(crossing: Path) -> None:
    done = run("takeoff", crossing, "--json")
    assert done.returncode == 1
    content = json.loads(done.stdout)
    assert len(content["planes"]) == 4
    assert [p["serious"] for p in content["problems"]] == [True]
    assert done.stderr.startswith("The roof is not complete. Bow")


@pytest.mark.parametrize("command", ["open", "takeoff", "check", "picture", "shop"])
def test_files_that_are_no_projects(command: str, tmp_path: Path) -> None:
    extra = {"picture": ("--out", str(tmp_path / "o.png")), "shop": ("--out", str(tmp_path))}
    text = tmp_path / "text.roof"
    text.write_text("no project")
    cut = tmp_path / "cut.roof"
    cut.write_bytes(SAMPLE.read_bytes()[:-200])
    for path, words in (
        (tmp_path / "none.roof", "no file"),
        (tmp_path, "is a folder"),
        (text, "not a roof project"),
        (cut, "damaged"),
    ):
        assert words in fails(1, command, path, *extra.get(command, ()))


def test_a_file_alone_means_open(tmp_path: Path) -> None:
    assert "no file" in fails(1, tmp_path / "none.roof")


def test_an_empty_project_has_nothing_to_draw(tmp_path: Path) -> None:
    path = tmp_path / "empty.roof"
    write_project(path, default_project(), {})
    assert "trace an outline" in fails(1, "shop", path, "--out", tmp_path)
    assert "trace an outline" in fails(1, "picture", path, "--out", tmp_path / "a.png")
    assert run("takeoff", path).returncode == 0
    assert run("check", path).stdout == "The project holds no section yet.\n"


def test_places_that_cannot_be_written(tmp_path: Path) -> None:
    missing = tmp_path / "no" / "a.csv"
    assert "no folder" in fails(1, "takeoff", SAMPLE, "--csv", missing)
    (tmp_path / "file").write_text("")
    assert "cannot be made" in fails(1, "shop", SAMPLE, "--out", tmp_path / "file")


def test_wrong_usage_is_2() -> None:
    for words in (["takeoff"], ["takeoff", "a", "--bogus"], ["picture", "a"], ["--bogus"]):
        fails(2, *words)


def test_help_and_version() -> None:
    done = run("--help")
    assert done.returncode == 0
    for command in ("open", "takeoff", "picture", "check", "shop"):
        assert command in done.stdout
    assert run("--version").stdout.startswith("roofmodel 0.")
