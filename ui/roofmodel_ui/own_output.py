"""Standard output for what the program itself says.

Compiled libraries write to it behind Python's back (the solver has a few such lines, which come
out when the process ends at the latest), and a reader of JSON or of a table trips over them.
"""

from __future__ import annotations

import io
import os
import sys
from typing import BinaryIO

_OUT, _ERRORS = 1, 2


def own_output() -> BinaryIO:
    """A stream of our own to where standard output led; what anyone else writes to the process's
    standard output goes to standard error from now on, to the end of the process."""
    sys.stdout.flush()
    own = os.fdopen(os.dup(_OUT), "wb")
    try:
        os.dup2(_ERRORS, _OUT)
    except OSError:  # standard error is closed
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, _OUT)
        os.close(nowhere)
    return own


def keep_output() -> None:
    """Let `sys.stdout` be such a stream; nothing where it is not the process's own."""
    before = sys.stdout
    if before is not sys.__stdout__ or not isinstance(before, io.TextIOWrapper):
        return
    try:
        if before.fileno() != _OUT:
            return
        own = own_output()
    except OSError:  # there is no standard output
        return
    sys.stdout = io.TextIOWrapper(
        own,
        before.encoding,
        before.errors,
        line_buffering=before.line_buffering,
        write_through=before.write_through,
    )
