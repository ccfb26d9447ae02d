"""Makes the sample projects: invented houses, written by the library itself.

Run by `make samples`. The same program gives the same files, to the byte.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

import msgspec

from roofmodel.document import Building, Job, Point, Project, Step, edits
from roofmodel_io.defaults import default_project
from roofmodel_io.project_file import SUFFIX, write_project

FT: Final = 304.8
FOLDER: Final = Path(__file__).resolve().parent.parent / "sample_projects"


def samples() -> dict[str, Project]:
    """The sample projects by file name, without suffix."""
    return {
        "alder_flat_ranch": alder_flat_ranch(),
        "birch_corner_l_hip": birch_corner_l_hip(),
        "cedar_bend_farmhouse": cedar_bend_farmhouse(),
        "dune_hollow_courtyard": dune_hollow_courtyard(),
    }


def alder_flat_ranch() -> Project:
    """A gabled ranch by its walls, with overhangs, and a garage beside it."""
    project = _job(
        "Alder Flat ranch",
        "Long house, 5/12, eaves 2 ft and gable ends 1 ft past the walls; detached garage, 6/12.",
    )
    project, house = edits.new_section(project, _feet((0, 0), (56, 0), (56, 28), (0, 28)), "House")
    project = edits.set_line(project, house, "wall")
    project = _slopes(project, house, (5, None, 5, None))
    project = edits.set_overhang(project, house, None, 2 * FT)
    for gable in (1, 3):
        project = edits.set_overhang(project, house, _edge_ids(project, house)[gable], 1 * FT)
    project = edits.set_eave_height(project, house, 9 * FT)
    project, garage = edits.new_section(
        project, _feet((66, 2), (90, 2), (90, 26), (66, 26)), "Garage"
    )
    project = edits.set_line(project, garage, "wall")
    project = _slopes(project, garage, (None, 6, None, 6))
    project = edits.set_overhang(project, garage, None, 1 * FT)
    project = edits.set_eave_height(project, garage, 8 * FT)
    return _own_building(project, garage, "b2", "Garage")


def birch_corner_l_hip() -> Project:
    """An L, hipped all round at one pitch."""
    project = _job("Birch Corner house", "L-shaped, hipped, 6/12 throughout.")
    corners = _feet((0, 0), (52, 0), (52, 28), (24, 28), (24, 50), (0, 50))
    project, house = edits.new_section(project, corners, "House")
    return edits.set_eave_height(project, house, 9 * FT)


def cedar_bend_farmhouse() -> Project:
    """A farmhouse whose two sides have unlike pitches, with a lower gambrel wing at its end."""
    project = _job(
        "Cedar Bend farmhouse",
        "Main house 8/12 in front and 10/12 behind; wing with a gambrel, 24/12 below 5/12.",
    )
    project, main = edits.new_section(
        project, _feet((0, 0), (44, 0), (44, 30), (0, 30)), "Main house"
    )
    project = _slopes(project, main, (8, None, 10, None))
    project = edits.set_eave_height(project, main, 17 * FT)
    project, wing = edits.new_section(
        project, _feet((44, 4), (72, 4), (72, 26), (44, 26)), "Gambrel wing"
    )
    project = _slopes(project, wing, (24, None, 24, None))
    ids = _edge_ids(project, wing)
    gambrel = (Step(0.0, 2.0), Step(6 * FT, 5 / 12))
    project = edits.set_profile(project, wing, [ids[0], ids[2]], gambrel)
    return edits.set_eave_height(project, wing, 9 * FT)


def dune_hollow_courtyard() -> Project:
    """Four wings round a courtyard, the north one steeper."""
    project = _job("Dune Hollow house", "Round a courtyard, 5/12, 7/12 on the north side.")
    project, house = edits.new_section(
        project,
        _feet((0, 0), (78, 0), (78, 66), (0, 66)),
        "House",
        [_feet((26, 24), (54, 24), (54, 42), (26, 42))],
    )
    project = edits.set_slope(project, house, _edge_ids(project, house), 5 / 12)
    north = _edge_ids(project, house)[2]
    project = edits.set_slope(project, house, [north], 7 / 12)
    return edits.set_eave_height(project, house, 9 * FT)


def _job(name: str, notes: str) -> Project:
    job = Job(name=name, place="An invented house", notes=notes)
    return edits.set_job(default_project(), job)


def _feet(*corners: tuple[float, float]) -> list[Point]:
    """Corners in feet as mm."""
    return [(x * FT, y * FT) for x, y in corners]


def _edge_ids(project: Project, section: str) -> list[str]:
    """Ids of the section's edges, ring after ring, from the first corner on."""
    return [e.id for ring in project.section(section).rings for e in ring.edges]


def _slopes(project: Project, section: str, rises: tuple[float | None, ...]) -> Project:
    """Give the edges their pitches, as the rise over 12; None is a gable end."""
    for edge, rise in zip(_edge_ids(project, section), rises, strict=True):
        slope = None if rise is None else rise / 12
        project = edits.set_slope(project, section, [edge], slope)
    return project


def _own_building(project: Project, section_id: str, building_id: str, name: str) -> Project:
    """Move a section into a building of its own."""
    moved = project.section(section_id)
    kept = tuple(
        msgspec.structs.replace(b, sections=tuple(s for s in b.sections if s.id != section_id))
        for b in project.buildings
    )
    return msgspec.structs.replace(
        project, buildings=(*kept, Building(building_id, name, (moved,)))
    )


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for name, project in samples().items():
        path = FOLDER / f"{name}{SUFFIX}"
        write_project(path, project, {})
        sys.stdout.write(f"Wrote {path.relative_to(FOLDER.parent)}\n")


if __name__ == "__main__":
    main()
