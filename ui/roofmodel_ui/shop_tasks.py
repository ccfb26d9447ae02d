"""What the window and `shop_worker` say to each other, a line of JSON each. The last answer of a
task is `Pieces`, `Package`, `Slit` or `Refused`."""

from __future__ import annotations

from typing import TypeAlias

import msgspec

from roofmodel.document import Job, Project
from roofmodel.document.releases import ReleasedPiece, ShopRules
from roofmodel.document.sureness import Tolerances


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


def what_is_cut(project: Project) -> Project:
    """The project without what changes no piece: of projects that are alike in this, all pieces
    are. What a sheet weighs is left in, for a release keeps it, and the releases, for pieces keep
    the marks they were released by."""
    rules = msgspec.structs.replace(ShopRules(), sheet_weight=project.shop.sheet_weight)
    return msgspec.structs.replace(
        project,
        job=Job(),
        underlays=(),
        prices=None,
        offers=(),
        tolerances=Tolerances(),
        readings=(),
        shop=rules,
    )


def what_is_slit(project: Project) -> Project:
    """The project without what changes no slitting plan: names, too, that the user has given."""
    rules = msgspec.structs.replace(ShopRules(), trim_coils=project.shop.trim_coils)
    buildings = tuple(
        msgspec.structs.replace(
            building,
            name="",
            sections=tuple(msgspec.structs.replace(s, name="") for s in building.sections),
            planes=tuple(msgspec.structs.replace(p, name="") for p in building.planes),
            openings=tuple(msgspec.structs.replace(o, name="") for o in building.openings),
        )
        for building in project.buildings
    )
    return msgspec.structs.replace(
        what_is_cut(project), shop=rules, colour="", buildings=buildings, releases=()
    )
