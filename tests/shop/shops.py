"""Blanks of named houses for the tests of the shop."""

from __future__ import annotations

from pathlib import Path

import msgspec

from roofmodel.document import DrawnPlane, Opening, Project, Section
from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.results import Results, results_of
from roofmodel.shop import Blank, Blanks, blanks_of
from roofmodel.systems import RoofingSystem
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.project_file import read_project
from tests.houses import GABLE, L_SHAPE, RECTANGLE, box, project, section

SYSTEMS = {s.id: s for s in built_in_systems()}
RIBBED = SYSTEMS["ribbed_panel"]
SAMPLES = Path(__file__).parents[2] / "sample_projects"

MITRE = (
    "mitre: joint sealed and riveted over a backing piece of the same cap, 6 in long"
    " (common practice, no source)"
)
EAVE_CORNER = "at the corner of the eaves notch and fold it, or lap and seal"

HIP = section(RECTANGLE, [0.5] * 4)
UNEQUAL_HIP = section(RECTANGLE, (0.5, 0.75, 0.5, 0.75))
L_HOUSE = section(L_SHAPE, [0.5] * 6)
MAIN = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
WING = section(box(12, -10, 28, 12), (GABLE, 0.5, GABLE, 0.5), section_id="s2")


def job(*parts: Section | DrawnPlane | Opening, system: RoofingSystem = RIBBED) -> Project:
    """A project with the built-in cross-sections."""
    return msgspec.structs.replace(project(*parts, system=system), parts=built_in_parts())


class Shop:
    """A project counted and its blanks made."""

    def __init__(self, made: Project) -> None:
        self.project = made
        self.results: Results = results_of(made)
        self.made: Blanks = blanks_of(made, self.results.surface, self.results.take_off.trim)
        self.blanks = self.made.blanks

    def on(self, part: str, edge: str) -> list[Blank]:
        """The blanks of one part on one edge, along the line."""
        return [b for b in self.blanks if (b.run.part, b.run.edge_name) == (part, edge)]


def shop(*parts: Section | DrawnPlane | Opening, system: RoofingSystem = RIBBED) -> Shop:
    """The blanks of a house."""
    return Shop(job(*parts, system=system))


def sample(name: str, system: str = RIBBED.id) -> Shop:
    """The blanks of a sample project, all covered in one system, with the built-in sections."""
    project = read_project(SAMPLES / f"{name}.roof").project
    project = msgspec.structs.replace(project, parts=built_in_parts())
    return Shop(cover_job(put_system(project, SYSTEMS[system]), system))
