"""What a process that works for the window does: a task per line on standard input, its answers as
lines on standard output, both JSON. It ends when its input does. `worker` is the other end."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

import msgspec


def tell(answer: msgspec.Struct) -> None:
    """One line of answer."""
    sys.stdout.buffer.write(msgspec.json.encode(answer) + b"\n")
    sys.stdout.buffer.flush()


def serve(kind: Any, do: Callable[[Any], object]) -> None:
    """Do every task of a type (or union of types) until the input ends."""
    for line in sys.stdin.buffer:
        do(msgspec.json.decode(line, type=kind))
