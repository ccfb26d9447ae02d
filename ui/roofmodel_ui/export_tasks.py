"""What the window asks of `export_worker`, and what it answers: a line of JSON each."""

from __future__ import annotations

from typing import Literal, TypeAlias

import msgspec

from roofmodel.document import Project

Kind = Literal["csv", "xlsx", "json", "dxf", "png"]


class ExportTask(msgspec.Struct, frozen=True):
    """What does a file of this kind hold for a project?"""

    project: Project
    kind: Kind


class Content(msgspec.Struct, frozen=True, tag="content"):
    """What the file holds."""

    data: bytes


class Refused(msgspec.Struct, frozen=True, tag="refused"):
    """Why there is no file, in one sentence."""

    sentence: str


Answer: TypeAlias = Content | Refused
