"""The project file: a zip container, suffix ``.roof``.

It holds ``project.json`` (UTF-8, sorted keys) and the pictures under ``pictures/``::

    {"project": {... the document, see roofmodel.document.types ...}, "version": 5}

The same project gives the same bytes, always: members are sorted and carry one fixed date.

History of versions
-------------------
1
    The first: job, units, roofing system, buildings with sections, underlays.
2
    Drawn planes and openings; level plates; several roofing systems, coverings of buildings and
    planes; kinds of edges set by hand; counters of the ids given.
3
    Underlays: pages of a PDF and drawings, known distances, places in the world, locks.
4
    Trim: an edge may take several parts, along it or on each of its planes. Systems say how they
    are fastened, sealed and closed; older ones take what the built-in system of their fastening
    says.
5
    The shop's rules say the widths of coil that trim is slit from.

A file of an older version is lifted step by step by `MIGRATIONS` before it is read; a file of a
newer version is refused, never guessed at.
"""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple

import msgspec

from roofmodel.document import Project
from roofmodel.errors import FileError, NewerVersion, NotAProject
from roofmodel_io.atomic import read_whole, write_whole
from roofmodel_io.migrations import MIGRATIONS, Migration
from roofmodel_io.parts_toml import built_in_parts

VERSION: Final = 5
_FIXING_SINCE: Final = 4
SUFFIX: Final = ".roof"

__all__ = [
    "MIGRATIONS",
    "SUFFIX",
    "VERSION",
    "Opened",
    "decode_project",
    "encode_project",
    "lift",
    "read_project",
    "write_project",
]

_JSON_NAME = "project.json"
_PICTURES = "pictures/"
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
_FILE_LIMIT = 512 * 2**20
_JSON_LIMIT = 64 * 2**20
_PICTURE_LIMIT = 256 * 2**20
_TOTAL_LIMIT = 1024 * 2**20
_MEMBER_LIMIT = 1000


class Opened(NamedTuple):
    """What a project file holds: the document, and its pictures by file name."""

    project: Project
    pictures: dict[str, bytes]


def read_project(path: str | Path) -> Opened:
    """Read a project file.

    Raises NotAProject (no project, damaged, cut short), NewerVersion, or FileError (missing,
    a folder, no permission), each with one sentence.
    """
    place = Path(path)
    return decode_project(read_whole(place, _FILE_LIMIT), place.name)


def write_project(path: str | Path, project: Project, pictures: Mapping[str, bytes]) -> None:
    """Write a project file in one go; on any failure the file that was there stays untouched."""
    write_whole(Path(path), encode_project(project, pictures))


def encode_project(project: Project, pictures: Mapping[str, bytes]) -> bytes:
    """The bytes of a project file. FileError if an underlay's picture is missing."""
    for underlay in project.underlays:
        if underlay.file not in pictures:
            raise FileError(f"The picture '{underlay.file}' is missing; load it again, then save.")
    content = {"version": VERSION, "project": msgspec.to_builtins(project)}
    try:
        text = json.dumps(content, sort_keys=True, indent=1, ensure_ascii=False, allow_nan=False)
        json_bytes = text.encode("utf-8") + b"\n"
    except ValueError as error:  # not a number, or half a character pair
        raise FileError(
            "The project holds a number or a text that cannot be saved; undo the last edit."
        ) from error
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as box:
        box.writestr(_member(_JSON_NAME), json_bytes)
        for name in sorted(pictures):
            if not _is_plain_name(name):
                raise FileError(f"'{name}' cannot be the name of a picture; rename the picture.")
            box.writestr(_member(_PICTURES + name), pictures[name])
    return buffer.getvalue()


def decode_project(data: bytes, name: str) -> Opened:
    """The project in the bytes of a project file; `name` is what messages call the file."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as box:
            text, pictures = _unpack(box, name)
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,  # a compression that zipfile does not know
        RuntimeError,  # an encrypted member
        ValueError,  # offsets that lie outside the file
    ) as error:
        raise NotAProject(
            f"'{name}' is not a roof project, or it is damaged; open another copy of it."
        ) from error
    project = _decode_json(text, name)
    for underlay in project.underlays:
        if underlay.file not in pictures:
            raise NotAProject(
                f"'{name}' is damaged: its picture '{underlay.file}' is missing;"
                " open another copy of it."
            )
    return Opened(project, pictures)


def _unpack(box: zipfile.ZipFile, name: str) -> tuple[bytes, dict[str, bytes]]:
    members = box.infolist()
    names = [m.filename for m in members]
    if _JSON_NAME not in names:
        raise NotAProject(
            f"'{name}' is not a roof project: it holds no {_JSON_NAME}; choose a {SUFFIX} file."
        )
    if len(set(names)) != len(names) or len(names) > _MEMBER_LIMIT:
        raise NotAProject(f"'{name}' is damaged: its list of contents is wrong.")
    text = b""
    pictures: dict[str, bytes] = {}
    total = 0
    for member in members:
        is_json = member.filename == _JSON_NAME
        limit = _JSON_LIMIT if is_json else _PICTURE_LIMIT
        total += member.file_size
        # zipfile never unpacks more than the size stated here, so that size is what to guard.
        if member.file_size > limit or total > _TOTAL_LIMIT:
            raise NotAProject(f"'{name}' unpacks to more than a project can be; it is not opened.")
        if is_json:
            text = box.read(member)
            continue
        picture = member.filename.removeprefix(_PICTURES)
        if not member.filename.startswith(_PICTURES) or not _is_plain_name(picture):
            raise NotAProject(
                f"'{name}' holds '{member.filename}', which no roof project does;"
                " it is not opened."
            )
        pictures[picture] = box.read(member)
    return text, pictures


def _decode_json(text: bytes, name: str) -> Project:
    try:
        content = json.loads(text.decode("utf-8"), parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        raise NotAProject(
            f"'{name}' is damaged: its {_JSON_NAME} cannot be read; open another copy of it."
        ) from error
    version = content.get("version") if isinstance(content, dict) else None
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise NotAProject(f"'{name}' is damaged: its {_JSON_NAME} states no version.")
    if version > VERSION:
        raise NewerVersion(
            f"'{name}' was saved by a newer version of Roofmodel (file version {version}; this"
            f" one reads up to {VERSION}); update Roofmodel to open it."
        )
    try:
        content = lift(content, MIGRATIONS, VERSION)
        return _complete(msgspec.convert(content["project"], Project), version)
    except msgspec.ValidationError as error:
        if (field := _unknown_field(str(error))) is not None:
            raise NewerVersion(
                f"'{name}' was written by another version of Roofmodel: it holds '{field}', which"
                " this one does not know; it is kept as it is, open it with the other version."
            ) from error
        raise NotAProject(f"'{name}' is damaged: {_placed(str(error))}") from error
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise NotAProject(f"'{name}' is damaged: the project in it is incomplete.") from error


def _complete(project: Project, version: int) -> Project:
    """The project with the built-in cross-sections of trim where it has none of its own, and with
    built-in fixing where its file is older than that."""
    if version < _FIXING_SINCE:
        # only old files need the systems' own files read
        from roofmodel_io.defaults import with_built_in_fixing

        project = with_built_in_fixing(project)
    return project if project.parts else msgspec.structs.replace(project, parts=built_in_parts())


def _refuse_constant(word: str) -> float:
    raise ValueError(f"{word} is no number of a project")


def lift(
    content: dict[str, Any], migrations: Mapping[int, Migration], version: int
) -> dict[str, Any]:
    """`content` brought up to `version` by one migration after another."""
    while content["version"] < version:
        before: int = content["version"]
        content = {**migrations[before](content), "version": before + 1}
    return content


def _unknown_field(message: str) -> str | None:
    """The field that a validation message finds unknown; None if it says something else."""
    before, _, rest = message.partition("unknown field `")
    return rest.partition("`")[0] if rest and before.startswith("Object contains") else None


def _placed(message: str) -> str:
    """A validation message as the rest of a sentence that names the place first."""
    what, _, place = message.partition(" - at ")
    place = place.strip().strip("`").removeprefix("$").removeprefix(".")
    what = what[:1].lower() + what[1:].rstrip(".")
    return f"at '{place}', {what}." if place else f"{what}."


def _is_plain_name(name: str) -> bool:
    """Whether `name` names a file that stays inside the folder it is put in."""
    return (
        0 < len(name) <= 200
        and name not in {".", ".."}
        and not any(c in '/\\:*?"<>|' or ord(c) < 32 for c in name)
        and name.strip(". ") != ""
    )


def _member(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _ZIP_DATE)
    # Not compressed: compressors differ in their bytes, the JSON is small, pictures are packed.
    info.compress_type = zipfile.ZIP_STORED
    info.create_system = 3  # the same bytes on every system
    info.external_attr = 0o644 << 16
    return info
