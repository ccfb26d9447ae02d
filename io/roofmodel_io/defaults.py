"""What a new job starts with: the built-in roofing systems and an empty project."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import Final

from roofmodel.document import Job, Project
from roofmodel.systems import RoofingSystem
from roofmodel_io.systems_toml import parse_system

_DEFAULT: Final = "ribbed_panel"


@lru_cache(maxsize=1)
def built_in_systems() -> tuple[RoofingSystem, ...]:
    """The roofing systems that come with the program, the default one first."""
    folder = files("roofmodel_io") / "data" / "systems"
    names = sorted(
        (item.name for item in folder.iterdir() if item.name.endswith(".toml")),
        key=lambda name: (name != f"{_DEFAULT}.toml", name),
    )
    return tuple(parse_system((folder / n).read_text(encoding="utf-8"), n) for n in names)


def default_project(job: str = "New job") -> Project:
    """An empty project with the default roofing system, one building and no section."""
    return Project(system=built_in_systems()[0], job=Job(name=job))
