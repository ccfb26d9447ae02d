"""Makes the sample projects: invented houses, written by the library itself.

Run by `make samples`. The same program gives the same files, to the byte.
"""

from __future__ import annotations

import math
import sys
from functools import partial
from pathlib import Path
from typing import Final

from roofmodel.document import BySlope, Job, Point, Project, Step, edits, offer_edits, part_edits
from roofmodel.document.cover_edits import put_system
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.prices_toml import sample_prices
from roofmodel_io.project_file import SUFFIX, write_project

FT: Final = 304.8
FOLDER: Final = Path(__file__).resolve().parent.parent / "sample_projects"


def samples() -> dict[str, Project]:
    """The sample projects by file name, without suffix."""
    houses = {
        "alder_flat_ranch": alder_flat_ranch(),
        "birch_corner_l_hip": birch_corner_l_hip(),
        "cedar_bend_farmhouse": cedar_bend_farmhouse(),
        "dune_hollow_courtyard": dune_hollow_courtyard(),
        "elder_brook_dormers": elder_brook_dormers(),
        "fern_hill_manor": fern_hill_manor(),
    }
    return {name: with_offers(house) for name, house in houses.items()}


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
    return _own_building(project, "Garage", garage)


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


def elder_brook_dormers() -> Project:
    """Two storeys with three dormers, a lower wing, a porch, a chimney and skylights."""
    project = _job(
        "Elder Brook house",
        "Two storeys at 9/12 with a gable, a hipped and a shed dormer; lower wing; porch on posts"
        " under the main eave; chimney with a saddle.",
    )
    body = partial(_body, overhang=1.5)
    project = body(project, "Main house", _box(0, 0, 44, 28), 17, (9, None, 9, None), ends=1)
    project = body(project, "Wing", _box(44, 3, 66, 25), 9, (9, None, 9, None), ends=1, flush=(3,))
    small = partial(_body, overhang=0.75, ends=0.75)
    project = small(
        project, "Gable dormer", _box(6, 3, 12, 13), 23.5, (None, 9, None, 9), flush=(2,)
    )
    project = small(
        project, "Hipped dormer", _box(32, 3, 38, 13), 23.5, (9, 9, None, 9), flush=(2,)
    )
    project = small(
        project, "Shed dormer", _box(14, 15, 32, 24), 25, (None, None, 3, None), flush=(0,)
    )
    project = body(
        project, "Porch", _box(12, -8, 32, 0), 8.5, (4, 4, None, 4), overhang=1, flush=(2,),
        open_below=True,
    )  # fmt: skip
    project = _opening(project, "chimney", _box(4, 18.5, 8, 21.5), height=5.5, saddle=True)
    for x in (18, 24):
        project = _opening(project, "skylight", _box(x, 5, x + 2, 8.25), height=0.3)
    return _opening(project, "pipe", _box(57, 19, 57.5, 19.5), height=1.2)


def fern_hill_manor() -> Project:
    """A large house of many parts, with a tower, and a garage with a carport."""
    project = _job(
        "Fern Hill house",
        "Hipped main house at 8/12; wings, cross gable at 12/12, tower, garden room at 45 degrees;"
        " garage with a carport apart.",
    )
    body = partial(_body, overhang=1.5)
    project = body(project, "Main house", _box(0, 0, 50, 32), 18, (8, 8, 8, 8))
    project = body(project, "West wing", _box(-18, 9, 10, 29), 18, (8, None, 8, 8), flush=(1,))
    # one foot at 12/12 falls as far as a foot and a half at 8/12, so all plates are level
    project = body(
        project, "Front gable", _box(28, -6, 42, 16), 18, (None, 12, None, 12), overhang=1,
        ends=1, flush=(2,),
    )  # fmt: skip
    project = body(
        project, "East wing", _box(50, 1, 72, 19), 9.5, (8, None, 8, None), ends=1, flush=(3,)
    )
    project = body(project, "Tower", _octagon(0, 0, 6), 23, (12,) * 8, overhang=1)
    project = body(
        project, "Garden room", _turned(_box(-9, -6, 20, 6), 45, 50, 32), 9, (6, 6, 6, None),
        flush=(3,),
    )  # fmt: skip
    small = partial(_body, overhang=0.75, ends=0.75)
    project = small(project, "Back dormer", _box(21, 18, 29, 28), 24, (None, 8, 8, 8), flush=(0,))
    project = small(
        project, "Wing dormer", _box(58, 3, 63, 9.5), 13, (None, 8, None, 8), flush=(2,)
    )
    project, terrace = part_edits.new_plane(
        project,
        _feet((30, 40), (5, 40), (10, 32), (30, 32)),
        BySlope((10 * FT, 32 * FT, 12 * FT), 4 / 12, 0.0),
        "Terrace roof",
    )
    project = part_edits.set_open_below(project, terrace, True)
    project = _opening(project, "chimney", _box(26, 14.5, 28.5, 17.5), height=3)
    project = _opening(project, "chimney", _box(63, 13, 67, 15.5), height=4.5, saddle=True)
    for x in (12, 36):
        project = _opening(project, "skylight", _box(x, 23, x + 2, 26.5), height=0.3)
    project = _opening(project, "pipe", _box(-8, 21, -7.5, 21.5), height=1.2)
    house = project.buildings[0].id
    project = body(
        project, "Garage", _box(62, -42, 86, -18), 9, (8, None, 8, None), overhang=1, ends=1
    )
    project = body(
        project, "Carport", _box(48, -38, 62, -22), 8.5, (4, None, 4, None), overhang=1, ends=1,
        flush=(1,), open_below=True,
    )  # fmt: skip
    apart = [s.id for s in project.building(house).sections[-2:]]
    return _own_building(project, "Garage", *apart)


def _body(
    project: Project,
    name: str,
    walls: list[Point],
    eave: float,
    rises: tuple[float | None, ...],
    *,
    overhang: float,
    ends: float | None = None,
    flush: tuple[int, ...] = (),
    open_below: bool = False,
) -> Project:
    """Add a section by its walls, mm; heights and overhangs in feet, pitches as the rise over 12.

    Gable ends stand out by `ends`; the edges `flush` (against or inside another part) do not.
    """
    project, section = edits.new_section(project, walls, name)
    project = edits.set_line(project, section, "wall")
    project = _slopes(project, section, rises)
    project = edits.set_overhang(project, section, None, overhang * FT)
    ids = _edge_ids(project, section)
    for k, rise in enumerate(rises):
        if k in flush or (rise is None and ends is not None):
            own = 0.0 if k in flush or ends is None else ends
            project = edits.set_overhang(project, section, ids[k], own * FT)
    project = edits.set_eave_height(project, section, eave * FT)
    return part_edits.set_open_below(project, section, True) if open_below else project


def _opening(
    project: Project,
    kind: part_edits.OpeningKind,
    corners: list[Point],
    *,
    height: float,
    saddle: bool = False,
) -> Project:
    """Add an opening that stands out by `height` feet."""
    project, opening = part_edits.new_opening(project, kind, corners, saddle=saddle)
    return part_edits.change_opening(project, opening, height=height * FT)


def _box(west: float, south: float, east: float, north: float) -> list[Point]:
    """A rectangle in feet as mm; its edges are the south, east, north and west ones."""
    return _feet((west, south), (east, south), (east, north), (west, north))


def _octagon(x: float, y: float, apothem: float) -> list[Point]:
    """An octagon about a place, in feet as mm."""
    reach = apothem / math.cos(math.pi / 8)
    turns = [math.pi * (2 * k + 1) / 8 for k in range(8)]
    return _feet(*[(x + reach * math.cos(t), y + reach * math.sin(t)) for t in turns])


def _turned(corners: list[Point], degrees: float, x: float, y: float) -> list[Point]:
    """The corners turned counter-clockwise about the datum, then moved by feet."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x * FT + c * a - s * b, y * FT + s * a + c * b) for a, b in corners]


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


def _own_building(project: Project, name: str, *parts: str) -> Project:
    """Move parts into a building of their own."""
    project, building = part_edits.new_building(project, name)
    for part in parts:
        project = part_edits.move_to_building(project, part, building)
    return project


def with_offers(project: Project) -> Project:
    """The sample with the book of invented prices, offered in both systems."""
    for system in built_in_systems():
        project = put_system(project, system)
    project = offer_edits.set_prices(project, sample_prices())
    project = offer_edits.add_offer(project, "Ribbed panels", system="ribbed_panel")
    return offer_edits.add_offer(
        project, "Standing seam, slate blue", system="standing_seam", colour="Slate blue"
    )


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for name, project in samples().items():
        path = FOLDER / f"{name}{SUFFIX}"
        write_project(path, project, {})
        sys.stdout.write(f"Wrote {path.relative_to(FOLDER.parent)}\n")


if __name__ == "__main__":
    main()
