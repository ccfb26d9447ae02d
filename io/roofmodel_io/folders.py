"""A folder of files written whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import signal
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from roofmodel.errors import FileError
from roofmodel_io.atomic import make_folder

CONTENTS: Final = "contents.txt"
"""What stands in a written folder: `MARK`, then check sum, size and name of every other file."""
MARK: Final = "Shop package of Roofmodel: SHA-256, size and name of every file"


@dataclass(frozen=True, slots=True)
class Filled:
    """A folder that was written: its files, and where the earlier one still lies if it could not
    be taken away."""

    files: tuple[str, ...]
    left_over: Path | None


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
    target: Path,
    fill: Callable[[FolderWriter], None],
    token: str = "",
    settle: Callable[[], None] | None = None,
) -> Filled:
    """Fill a folder beside `target` and put it in its place; `settle` is done last of all, and
    what it raises puts the earlier folder back.

    Whatever ends it, `target` is as it was. A folder that holds nothing, or an earlier output of
    this function as it was written, is replaced; any other is refused with FileError. A link is
    written into what it leads to.
    """
    check_target(target)
    target = _real(target)
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
        writer.put(CONTENTS, _contents(staging, writer.files))
        check_target(target)  # somebody may have put a file there meanwhile
        with _undisturbed():
            _swap(staging, target, settle or (lambda: None))
            old = _drop_old(_old_of(staging))
    except BaseException:
        remove(staging)
        for folder in missing:  # the innermost first; what others put there stays
            with contextlib.suppress(OSError):
                folder.rmdir()
        raise
    return Filled(files, old)


def check_target(target: Path) -> None:
    """FileError in one sentence where a folder cannot be put at `target`."""
    target = _real(target)
    if target.exists() and not target.is_dir():
        raise FileError(f"The folder '{target}' cannot be made: there is a file of that name.")
    if not target.is_dir():
        return
    try:
        inside = [p for p in target.rglob("*") if p.is_symlink() or not p.is_dir()]
        known = _listed(target)
        strange = sorted(_name(p, target) for p in inside if _name(p, target) not in known)
        changed = sorted(
            _name(p, target)
            for p in inside
            if not strange and p != target / CONTENTS and _sum_of(p) != known[_name(p, target)]
        )
    except OSError as error:
        raise FileError(
            f"The folder '{target}' cannot be read ({_reason(error)}); choose another."
        ) from error
    if strange:
        raise FileError(
            f"The folder '{target}' holds other files ('{strange[0]}'); name a new folder, for"
            " all that is in it would be replaced."
        )
    if changed:
        raise FileError(
            f"'{changed[0]}' in the folder '{target}' is not as it was written; name a new"
            " folder, or take that file out of it first."
        )


def stamp_of(target: Path) -> str | None:
    """What tells the list of contents in a folder from any other: its check sum; None where there
    is none. A folder that is written once more as it was keeps its stamp."""
    try:
        found = (Path(os.path.realpath(target)) / CONTENTS).read_bytes()
    except OSError:
        return None
    return hashlib.sha256(found).hexdigest()


def written_since(target: Path, before: str | None) -> tuple[str, ...]:
    """The files of a folder that was put in place since its stamp was taken, as a writer that was
    killed cannot tell; none where the folder holds what it held. FileError where it is not
    whole."""
    now = stamp_of(target)
    if now is None or now == before:
        return ()
    check_target(target)
    place = Path(os.path.realpath(target))
    files = tuple(_listed(place))
    if not files or not all((place / name).is_file() for name in files):
        raise FileError(f"The folder '{target}' is not whole.")
    return files


def _real(target: Path) -> Path:
    """Where a folder really lies; FileError where a link on the way leads to nothing."""
    target = Path(os.path.abspath(target))
    for path in (target, *target.parents):
        if path.is_symlink() and not path.exists():
            raise FileError(
                f"'{path}' is a link that leads to nothing; mend it, or name another folder."
            )
    return Path(os.path.realpath(target))


def _name(path: Path, target: Path) -> str:
    return path.relative_to(target).as_posix()


def _contents(folder: Path, names: Iterable[str]) -> bytes:
    rows = [f"{_sum_of(folder / name)} {name}\n" for name in sorted(names)]
    return "".join([f"{MARK}\n", *rows]).encode()


def _sum_of(path: Path) -> str:
    """The check sum (SHA-256) and the size of a file; of a link, nothing."""
    if path.is_symlink():
        return ""
    data = path.read_bytes()
    return f"{hashlib.sha256(data).hexdigest()} {len(data)}"


def _listed(target: Path) -> dict[str, str]:
    """What a folder that was written here should hold: check sums and sizes by name."""
    path = target / CONTENTS
    if path.is_symlink() or not path.is_file():
        return {}
    mark, *rows = path.read_text("utf-8", errors="replace").splitlines() or [""]
    if mark != MARK:
        return {}
    out = {CONTENTS: ""}
    for row in rows:
        digest, _, rest = row.partition(" ")
        size, _, name = rest.partition(" ")
        out[name] = f"{digest} {size}"
    return out


def _swap(staging: Path, target: Path, settle: Callable[[], None]) -> None:
    """Put the new folder in the old one's place; undone where that or `settle` is stopped."""
    old = _old_of(staging)
    had = target.exists()
    try:
        try:
            if had:
                os.replace(target, old)
            os.replace(staging, target)
        except OSError as error:
            raise FileError(
                f"The folder '{target}' cannot be written ({_reason(error)}); choose another."
            ) from error
        settle()
    except BaseException:
        _put_back(staging, target, had=had)
        raise


def _put_back(staging: Path, target: Path, *, had: bool) -> None:
    """Undo as much of the swap as was done."""
    old = _old_of(staging)
    try:
        if target.exists() and not staging.exists():
            os.rename(target, staging)
        if had and old.exists() and not target.exists():
            os.rename(old, target)
    except OSError as error:
        where = f"; what was in it before lies in '{old}'" if old.exists() else ""
        raise FileError(
            f"The folder '{target}' cannot be put back ({_reason(error)}){where}."
        ) from error


def _old_of(staging: Path) -> Path:
    return staging.with_suffix(".old")


def _drop_old(old: Path) -> Path | None:
    """Take away the earlier folder; what of it stays, for the new one is in its place whatever
    happens here."""
    with contextlib.suppress(KeyboardInterrupt):  # its user has the new folder already
        remove(old)
    return old if old.exists() else None


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Ctrl+C waits while a few files are moved, and is forgotten once that is done: the work that
    it was to end is over."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, lambda number, frame: None)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before if before is not None else signal.SIG_DFL)


def drop_staging(target: Path, token: str) -> Path | None:
    """Take away what a writer that was killed has left; an earlier folder that it had moved aside
    is put back where the new one was not in its place yet.

    Where it cannot be put back it stays beside its place, which is returned.
    """
    target = Path(os.path.realpath(target))
    staging = staging_of(target, token)
    old = _old_of(staging)
    with contextlib.suppress(OSError):
        if old.exists() and not target.exists():
            os.rename(old, target)
    remove(staging)
    if target.exists():  # else the earlier folder is all there is
        remove(old)
        return None
    return old if old.exists() else None


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
