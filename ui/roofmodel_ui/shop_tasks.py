"""What the window and `shop_worker` say to each other, a line of JSON each. The last answer of a
task is `Pieces`, `Package` or `Refused`."""

from __future__ import annotations

from typing import TypeAlias

import msgspec

from roofmodel.document import Project
from roofmodel.document.releases import ReleasedPiece


class PiecesTask(msgspec.Struct, frozen=True, tag="pieces"):
    """Which pieces does a project come to?"""

    project: Project


class PackageTask(msgspec.Struct, frozen=True, tag="package"):
    """Write the package of a project into a folder; `token` names the temporary one beside it."""

    project: Project
    folder: str
    token: str
    paper: str = ""


class Told(msgspec.Struct, frozen=True, tag="told"):
    """So much of so much is done, and what comes now."""

    done: int
    count: int
    words: str


class Pieces(msgspec.Struct, frozen=True, tag="pieces"):
    """The pieces of the project."""

    pieces: tuple[ReleasedPiece, ...]


class Package(msgspec.Struct, frozen=True, tag="package"):
    """What was written."""

    folder: str
    files: tuple[str, ...]
    drawings: int
    revision: int


class Refused(msgspec.Struct, frozen=True, tag="refused"):
    """Why there is no answer, in one sentence."""

    sentence: str


Task: TypeAlias = PiecesTask | PackageTask
Answer: TypeAlias = Told | Pieces | Package | Refused


def without_pictures(project: Project) -> Project:
    """The project as the shop needs it: what lies under the plan is of no use there."""
    return msgspec.structs.replace(project, underlays=())
