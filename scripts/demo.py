"""What `make demo` shows: a sample solved, counted and drawn, and then the window with it.

Writes to ./demo_output. Without a display the real window opens on a virtual one (Xvfb) and its
screenshot is saved there.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Final

from virtual_display import needs_virtual_display, virtual_display

from roofmodel.errors import FileError, RoofmodelError
from roofmodel.results import results_of
from roofmodel.sheets import edge_kinds_table, planes_table, quantities_table, squares_of
from roofmodel_io.atomic import make_folder
from roofmodel_io.dxf_plan import write_plan_dxf
from roofmodel_io.project_file import read_project
from roofmodel_io.takeoff_json import write_takeoff_json
from roofmodel_ui.cli import print_table, write_picture

ROOT: Final = Path(__file__).resolve().parent.parent
SAMPLE: Final = ROOT / "sample_projects" / "birch_corner_l_hip.roof"
OUTPUT: Final = Path("demo_output")


def main() -> int:
    results = results_of(read_project(SAMPLE).project)
    say(f"{results.project.job.name}: {squares_of(results)}")
    units = results.project.units
    print_table(planes_table(results), units)
    print_table(edge_kinds_table(results), units)
    print_table(quantities_table(results.take_off.quantities), units)

    make_folder(OUTPUT)
    write_plan_dxf(OUTPUT / "roof_plan.dxf", results)
    write_takeoff_json(OUTPUT / "takeoff.json", results)
    write_picture(results, OUTPUT / "roof.png")
    say(f"Wrote {OUTPUT}/roof_plan.dxf, takeoff.json and roof.png.")

    if not needs_virtual_display():
        say("Opening the window; close it to end.")
        return open_window(dict(os.environ), None)
    screenshot = OUTPUT / "window.png"
    screenshot.unlink(missing_ok=True)
    with virtual_display() as environment:
        code = open_window(environment, screenshot)
    if code == 0 and screenshot.is_file():
        say(f"No display here: drew the window on a virtual one, see {screenshot}.")
        return 0
    raise FileError("The window could not be drawn on a virtual display; see the lines above.")


def open_window(environment: dict[str, str], screenshot: Path | None) -> int:
    """Run the program's own command for the window; returns its exit code."""
    command = [sys.executable, "-m", "roofmodel", "open", str(SAMPLE)]
    if screenshot is not None:
        command += ["--screenshot", str(screenshot)]
    return subprocess.run(command, env=environment, check=False).returncode


def say(sentence: str) -> None:
    sys.stdout.write(sentence + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    try:
        sys.exit(main())
    except RoofmodelError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(1)
