"""Rules of the house that no linter knows."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LONGEST = 400
SOURCES = ("roofmodel", "io", "ui", "tests", "scripts")


def source_files() -> list[Path]:
    files = [p for folder in SOURCES for p in (ROOT / folder).rglob("*.py")]
    assert len(files) > 40
    return files


def test_files_can_be_read_in_one_sitting() -> None:
    long = {
        str(p.relative_to(ROOT)): count
        for p in source_files()
        if (count := len(p.read_text("utf-8").splitlines())) > LONGEST
    }
    assert not long


@pytest.mark.parametrize("root", ["io", "ui"])
def test_source_roots_are_no_packages(root: str) -> None:
    assert not (ROOT / root / "__init__.py").exists()


@pytest.mark.parametrize("package", ["roofmodel", "io/roofmodel_io", "ui/roofmodel_ui"])
def test_packages_say_that_they_are_typed(package: str) -> None:
    assert (ROOT / package / "py.typed").is_file()


def test_every_module_says_what_it_is_for() -> None:
    silent = [
        str(p.relative_to(ROOT))
        for p in source_files()
        if not p.read_text("utf-8").startswith('"""')
    ]
    assert not silent


def test_pins_name_no_host_and_no_place_on_a_disk() -> None:
    lines = (ROOT / "constraints.txt").read_text("utf-8").splitlines()
    pins = [line for line in lines if line and not line.startswith("#")]
    assert len(pins) > 20
    for pin in pins:
        assert re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!]+", pin), pin


def test_the_command_line_loads_nothing_of_the_window() -> None:
    program = (
        "import sys, roofmodel_ui.cli;"
        "print([m for m in ('PySide6', 'pyvista', 'vtkmodules', 'shapely', 'ezdxf')"
        " if m in sys.modules])"
    )
    paths = [str(ROOT), str(ROOT / "ui"), str(ROOT / "io")]
    program = f"import sys; sys.path[:0] = {paths!r}; " + program
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
