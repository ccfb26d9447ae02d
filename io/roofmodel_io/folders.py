"""A folder of files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

from roofmodel.errors import FileError
from roofmodel_io.atomic import make_folder

CONTENTS: Final = "contents.txt"
"""What stands in a written folder: its files, one to a line."""


class FolderWriter:
    """What `write_folder` gives to those who fill a folder: they `put` files into it."""

    def __init__(self, place: Path, shown: Path) -> None:
        self._place, self._shown = place, shown
        self.files: list[str] = []

    def put(self, name: str, data: bytes) -> None:
        """Add one file; `name` may have folders in front, with "/"."""
        path = self._place / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        except OSError as error:
            raise FileError(
                f"'{self._shown / name}' cannot be written ({_reason(error)}); nothing was"
                " written."
            ) from error
        self.files.append(name)


def staging_of(target: Path, token: str) -> Path:
    """The temporary folder beside `target` that is filled first."""
    return target.parent / f".{target.name}.{token}.part"


def write_folder(
    target: Path, fill: Callable[[FolderWriter], None], token: str = ""
) -> tuple[str, ...]:
    """Fill a folder beside `target` and put it in its place; the names of its files.

    Whatever ends it, `target` stays as it was. A folder that holds an earlier output of this
    function, or nothing, is replaced; one with other files in it is refused with FileError.
    """
    target = Path(os.path.abspath(target))
    check_target(target)
    missing = [p for p in target.parents if not p.exists()]
    make_folder(target.parent)
    staging = staging_of(target, token or os.urandom(4).hex())
    try:
        try:
            staging.mkdir()
        except OSError as error:
            raise FileError(
                f"The folder '{target}' cannot be made ({_reason(error)}); choose another."
            ) from error
        writer = FolderWriter(staging, target)
        fill(writer)
        files = (*writer.files, CONTENTS)
        writer.put(CONTENTS, "".join(f"{name}\n" for name in sorted(files)).encode())
        _swap(staging, target)
    except BaseException:
        remove(staging)
        for folder in missing:  # the innermost first; what others put there stays
            with contextlib.suppress(OSError):
                folder.rmdir()
        raise
    return files


def check_target(target: Path) -> None:
    """FileError in one sentence where a folder cannot be put at `target`."""
    if target.exists() and not target.is_dir():
        raise FileError(f"The folder '{target}' cannot be made: there is a file of that name.")
    if not target.is_dir():
        return
    try:
        found = {p.relative_to(target).as_posix() for p in target.rglob("*") if not p.is_dir()}
        known = _listed(target)
    except OSError as error:
        raise FileError(
            f"The folder '{target}' cannot be read ({_reason(error)}); choose another."
        ) from error
    strange = sorted(found - known)
    if strange:
        raise FileError(
            f"The folder '{target}' holds other files ('{strange[0]}'); name a new folder, for"
            " all that is in it would be replaced."
        )


def _listed(target: Path) -> set[str]:
    path = target / CONTENTS
    if not path.is_file():
        return set()
    return {CONTENTS, *path.read_text("utf-8", errors="replace").splitlines()}


def _swap(staging: Path, target: Path) -> None:
    """Put the new folder in the old one's place, which goes away last."""
    old = staging.with_suffix(".old")
    try:
        if target.exists():
            os.replace(target, old)
        try:
            os.replace(staging, target)
        except OSError:
            if old.exists():
                os.replace(old, target)
            raise
    except OSError as error:
        raise FileError(
            f"The folder '{target}' cannot be written ({_reason(error)}); choose another."
        ) from error
    remove(old)


def drop_staging(target: Path, token: str) -> None:
    """Take away the temporary folder of a writer that was ended."""
    remove(staging_of(Path(os.path.abspath(target)), token))


def remove(folder: Path) -> None:
    """Take away a temporary folder, if it is there."""
    with contextlib.suppress(OSError):
        if folder.is_dir():
            shutil.rmtree(folder)


def plain_name(text: str, taken: Iterable[str] = ()) -> str:
    """A name for a file that every system takes, unlike those that are taken already.

    >>> plain_name("Ridge cap, fold 53.1° / 2")
    'Ridge_cap,_fold_53.1_deg_2'
    """
    words = text.replace("°", " deg ")
    words = "".join(c if c not in '/\\:*?"<>|' and c.isprintable() else " " for c in words)
    name = "_".join(words.split()).strip("._")[:120] or "sheet"
    known = {t.casefold() for t in taken}
    number, out = 2, name
    while out.casefold() in known:
        out, number = f"{name}_{number}", number + 1
    return out


def _reason(error: OSError) -> str:
    return (error.strerror or str(error) or "unknown reason").lower()
