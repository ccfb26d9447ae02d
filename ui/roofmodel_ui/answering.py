"""What a process that works for the window does: a task per line on standard input, its answers as
lines on standard output, both JSON. It ends when its input does. `worker` is the other end."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, BinaryIO

import msgspec

from roofmodel_ui.own_output import own_output

_answers: list[BinaryIO] = []


def tell(answer: msgspec.Struct) -> None:
    """One line of answer."""
    out = _answers[0] if _answers else sys.stdout.buffer
    out.write(msgspec.json.encode(answer) + b"\n")
    out.flush()


def serve(kind: Any, do: Callable[[Any], object]) -> None:
    """Do every task of a type (or union of types) until the input ends. Only `tell` writes to
    standard output from here on; whatever else is printed goes to standard error."""
    _answers[:] = [own_output()]
    for line in sys.stdin.buffer:
        do(msgspec.json.decode(line, type=kind))
