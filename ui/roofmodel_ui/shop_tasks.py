"""What the window and `shop_worker` say to each other, a line of JSON each. The last answer of a
task is `Pieces`, `Package`, `Slit` or `Refused`."""

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


class SlittingTask(msgspec.Struct, frozen=True, tag="slitting"):
    """How is the trim of a project slit from coil?"""

    project: Project


class Told(msgspec.Struct, frozen=True, tag="told"):
    """So much of so much is done, and what comes now."""

    done: int
    count: int
    words: str


class Pieces(msgspec.Struct, frozen=True, tag="pieces"):
    """The pieces of the project."""

    pieces: tuple[ReleasedPiece, ...]


class Package(msgspec.Struct, frozen=True, tag="package"):
    """What was written; `slit` says what trim takes of coil."""

    folder: str
    files: tuple[str, ...]
    drawings: int
    revision: int
    slit: tuple[str, ...] = ()


class SlitCut(msgspec.Struct, frozen=True):
    """Cuts of a coil that are alike, in words, and each kind of strip in them."""

    words: str
    strips: tuple[str, ...]


class Slit(msgspec.Struct, frozen=True, tag="slit"):
    """The slitting plan: the metal and what is in no plan, in sentences, and every cut."""

    sentences: tuple[str, ...]
    cuts: tuple[SlitCut, ...]


class Refused(msgspec.Struct, frozen=True, tag="refused"):
    """Why there is no answer, in one sentence."""

    sentence: str


Task: TypeAlias = PiecesTask | PackageTask | SlittingTask
Answer: TypeAlias = Told | Pieces | Package | Slit | Refused


def without_pictures(project: Project) -> Project:
    """The project as the shop needs it: what lies under the plan is of no use there."""
    return msgspec.structs.replace(project, underlays=())
