"""What a new job starts with: the built-in roofing systems and an empty project."""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Final

import msgspec

from roofmodel.document import Job, Project
from roofmodel.document.cover_edits import Offered
from roofmodel.systems import RoofingSystem
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.systems_toml import parse_system

_DEFAULT: Final = "ribbed_panel.toml"


@lru_cache(maxsize=1)
def built_in_systems() -> tuple[RoofingSystem, ...]:
    """The roofing systems that come with the program, the default one first."""
    names = sorted(
        (item.name for item in _folder().iterdir() if item.name.endswith(".toml")),
        key=lambda name: (name != _DEFAULT, name),
    )
    return tuple(_built_in(name) for name in names)


def offered_systems() -> tuple[Offered, ...]:
    """The same with the cross-sections that come with the program."""
    return tuple(Offered(s, built_in_parts()) for s in built_in_systems())


def _folder() -> Traversable:
    return files("roofmodel_io") / "data" / "systems"


@cache
def _built_in(name: str) -> RoofingSystem:
    return parse_system((_folder() / name).read_text(encoding="utf-8"), name)


def default_project(job: str = "New job") -> Project:
    """An empty project with the default roofing system, one building and no section."""
    return Project(system=_built_in(_DEFAULT), job=Job(name=job), parts=built_in_parts())


def with_built_in_fixing(project: Project) -> Project:
    """The project, its systems fastened, sealed and closed as the built-in one with panels held
    the same way."""
    fixing = {s.panel.fastening: s.fixing for s in built_in_systems()}
    first, *others = (
        msgspec.structs.replace(s, fixing=fixing[s.panel.fastening]) for s in project.systems()
    )
    return msgspec.structs.replace(project, system=first, more_systems=tuple(others))
