"""A virtual display (Xvfb) for the scripts that show the real window where there is no screen."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from roofmodel.errors import FileError

SCREEN: Final = "1920x1080x24"


def needs_virtual_display() -> bool:
    """Whether this is a machine of windows by X11 or Wayland, and none is there."""
    has_display = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    return sys.platform.startswith("linux") and not has_display


@contextmanager
def virtual_display() -> Iterator[dict[str, str]]:
    """Run Xvfb on a free display; yields the environment for programs to draw there."""
    server = shutil.which("Xvfb")
    if server is None:
        raise FileError("There is no display and no Xvfb; install it: apt-get install xvfb")
    reader, writer = os.pipe()
    process = subprocess.Popen(
        [server, "-displayfd", str(writer), "-screen", "0", SCREEN, "-nolisten", "tcp"],
        pass_fds=[writer],
        stderr=subprocess.DEVNULL,
    )
    os.close(writer)
    try:
        with os.fdopen(reader) as stream:
            number = stream.readline().strip()  # comes when the server is ready
        if not number:
            raise FileError("The virtual display (Xvfb) did not start.")
        yield {**os.environ, "DISPLAY": f":{number}", "QT_QPA_PLATFORM": "xcb"}
    finally:
        process.terminate()
        process.wait(timeout=10)
