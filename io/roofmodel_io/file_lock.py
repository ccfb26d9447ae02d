"""Who has a file open: a small file that is locked for as long as its owner lives.

The operating system lets go of the lock when its owner ends, however it ends, so what a killed
program leaves behind is known to be stale. Where the owner sits on another computer the lock may
not reach as far; there its heartbeat counts (`FileLock.beat`).
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Final

BEAT_S: Final = 30.0
"""How often an owner says that it is still there."""
SILENT_S: Final = 4 * BEAT_S
"""An owner on another computer that was silent for so long is gone."""
_FAR: Final = 2**30  # beyond the text, which others must be able to read meanwhile
_TRIES: Final = 20
_TEXT_LIMIT: Final = 4096


@dataclass(frozen=True, slots=True)
class Owner:
    """Who holds a file: the computer, the process there, and since when (seconds of the epoch)."""

    computer: str
    process: int
    since: float

    def is_here(self) -> bool:
        """Whether it sits on this computer."""
        return self.computer == _computer()


class FileLock:
    """A lock that is held; made by `take`, ended by `release`."""

    def __init__(self, path: Path, stream: IO[bytes]) -> None:
        self.path = path
        self._stream: IO[bytes] | None = stream

    def beat(self) -> None:
        """Say that the owner is still there; call it every `BEAT_S`."""
        if self._stream is not None:
            with contextlib.suppress(OSError):
                os.utime(self.path)

    def release(self) -> None:
        """Let go; the small file goes away."""
        stream, self._stream = self._stream, None
        if stream is None:
            return
        if sys.platform == "win32":  # there, no open file can be removed
            stream.close()
        with contextlib.suppress(OSError):
            self.path.unlink(missing_ok=True)
        stream.close()


def lock_of(file: Path) -> Path:
    """The lock's place for a project file: beside it, so that every computer sees the same."""
    target = file.resolve()
    return target.parent / f".{target.name}.open"


def take(path: Path) -> FileLock | Owner | None:
    """Take the lock at `path`; or its owner, if it is held; None where no lock can be, in a folder
    that cannot be written. On a disk without locks the owner's process tells."""
    for _ in range(_TRIES):
        try:
            stream = path.open("a+b")
        except OSError:
            return None
        owner = _owner(path)
        try:
            held = not _grab(stream)
        except OSError:
            held = owner is not None and owner.is_here() and _lives(owner.process)
        if held or (owner is not None and not owner.is_here() and _age(path) < SILENT_S):
            stream.close()
            return owner or Owner("", 0, time.time())
        if _is_still(path, stream):
            _sign(stream)
            return FileLock(path, stream)
        stream.close()  # its last owner took the file away between opening and locking
    return None


def _sign(stream: IO[bytes]) -> None:
    content = {"computer": _computer(), "process": os.getpid(), "since": time.time()}
    with contextlib.suppress(OSError):  # a full disk: the lock itself holds all the same
        stream.truncate(0)
        stream.write(json.dumps(content).encode())
        stream.flush()


def _owner(path: Path) -> Owner | None:
    try:
        with path.open("rb") as stream:
            content = json.loads(stream.read(_TEXT_LIMIT))
        return Owner(str(content["computer"]), int(content["process"]), float(content["since"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _lives(process: int) -> bool:
    if sys.platform == "win32":  # asking there would end it; and its disks have locks
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _age(path: Path) -> float:
    try:
        return time.time() - path.stat().st_mtime
    except OSError:
        return SILENT_S


def _is_still(path: Path, stream: IO[bytes]) -> bool:
    try:
        return os.path.samestat(path.stat(), os.fstat(stream.fileno()))
    except OSError:
        return False


def _grab(stream: IO[bytes]) -> bool:
    """Lock the open file; False if another has it."""
    if sys.platform == "win32":
        import msvcrt

        stream.seek(_FAR)
        try:
            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        finally:
            stream.seek(0)
        return True
    import fcntl

    try:
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _computer() -> str:
    import platform  # late: a new project locks nothing

    return platform.node()
