"""Files written whole or not at all, and plain sentences for what the disk refuses."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from roofmodel.errors import FileError


def write_whole(path: Path, data: bytes) -> None:
    """Put `data` at `path`: first into a temporary file in the same folder, then in its place.

    Whatever fails, a file that stood at `path` before stays as it was. FileError says why.
    """
    target = path.resolve()  # through a link, so that the link stays one
    if target.is_dir():
        raise FileError(f"'{path}' is a folder; choose a file name in it.")
    if target.exists() and not target.is_file():
        raise FileError(f"'{path}' is no ordinary file; choose another name.")
    temporary = target.parent / f".{target.name}.{os.urandom(4).hex()}.part"
    try:
        mode = target.stat().st_mode & 0o777 if target.exists() else None
        try:
            with temporary.open("xb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            if mode is not None:
                temporary.chmod(mode)
            os.replace(temporary, target)
        except BaseException:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise FileError(_refusal(path, "written", error)) from error
    _flush_folder(target.parent)


def read_whole(path: Path, limit: int) -> bytes:
    """The bytes of `path`, at most `limit` of them; FileError in one sentence otherwise."""
    try:
        if path.is_dir():
            raise FileError(f"'{path}' is a folder, not a file; choose a file in it.")
        if path.exists() and not path.is_file():
            raise FileError(f"'{path}' is no ordinary file; choose one that is.")
        with path.open("rb") as stream:
            data = stream.read(limit + 1)
    except OSError as error:
        raise FileError(_refusal(path, "read", error)) from error
    if len(data) > limit:
        raise FileError(f"'{path}' is larger than {limit // 2**20} MB, which is too large here.")
    return data


def make_folder(path: Path) -> None:
    """Make the folder `path` if it is not there; FileError in one sentence otherwise."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(
            f"The folder '{path}' cannot be made ({_reason(error)}); choose another."
        ) from error


def _flush_folder(folder: Path) -> None:
    """Make the rename itself lasting where the system allows it; the data already is."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refusal(path: Path, done: str, error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        if done == "read":
            return f"There is no file '{path}'; check its name."
        return f"'{path}' cannot be written: there is no folder '{path.parent}'."
    if isinstance(error, PermissionError):
        return f"'{path}' cannot be {done}: permission was refused; choose another place."
    return f"'{path}' cannot be {done} ({_reason(error)})."


def _reason(error: OSError) -> str:
    return (error.strerror or str(error) or "unknown reason").lower()
