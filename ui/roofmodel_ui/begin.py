"""The door of the program: no words open the window, and all others are the command line's.

What reads those words takes a third as long to load as the window, which has no use for it.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from pathlib import Path


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the program; always ends in SystemExit."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if not words:
        sys.exit(show(None))
    from roofmodel_ui.cli import main as command_line

    command_line(words)


def show(path: Path | None, screenshot: Path | None = None) -> int:
    """Open the window, with a project if one is named, and run until it is closed; the exit code.

    A project that cannot be read raises its RoofmodelError before any window shows.
    """
    if path is not None:
        from roofmodel_io.project_file import read_project

        read_project(path)
    # Until the window stands the collector of garbage rests: nearly all that is made stays.
    gc.disable()
    # something to look at while the rest of the program is loaded
    from roofmodel_ui.first import show_frame

    frame = None if screenshot is not None else show_frame()
    from roofmodel_ui.app import open_window

    return open_window(path, screenshot, frame)
