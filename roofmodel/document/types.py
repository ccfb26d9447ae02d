"""The document: what the user said, and nothing derived from it.

Everything is frozen; an edit makes a new document (`roofmodel.document.edits`). Lengths are
millimetres, heights are above the job's datum (0 = the level the user chose), slopes are rise
over run and ``None`` is vertical. Plan coordinates: x to the east, y to the north.

Vocabulary
----------
outline
    A closed ring of corners, the eave line of a section seen from above.
ring
    The outer ring or a courtyard, with one edge per corner: edge k runs from corner k to the
    next. Corners are not repeated at the end.
profile
    How one edge's roof rises: steps of (height above the section's eave, slope).
drip line, wall line
    The outline is the outer edge of the roof (what a picture shows) or the outside of the walls
    (what a plan shows); the overhang gives the other.
"""

from __future__ import annotations

import itertools
import math
from typing import Literal

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems import RoofingSystem

Point = tuple[float, float]


class Step(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """From `height` (mm above the section's eave) upward the plane rises at `slope`."""

    height: float
    slope: float | None

    def __post_init__(self) -> None:
        if not math.isfinite(self.height):
            raise DocumentError("A step of a profile needs a finite height.")
        if self.slope is not None and not 0.001 <= self.slope <= 1000.0:
            raise DocumentError(
                "A pitch must lie between 0.012/12 and 12000/12; for a gable choose vertical."
            )


class OutlineEdge(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One edge of an outline. `overhang` None means the section's."""

    id: str
    profile: tuple[Step, ...] = (Step(0.0, 0.5),)
    overhang: float | None = None

    def __post_init__(self) -> None:
        if not self.profile:
            raise DocumentError(f"Edge {self.id} needs at least one step in its profile.")
        heights = [s.height for s in self.profile]
        if any(b <= a for a, b in itertools.pairwise(heights)):
            raise DocumentError(f"The steps of edge {self.id} must go up, each above the last.")
        if self.overhang is not None and not 0 <= self.overhang <= 10_000:
            raise DocumentError(f"The overhang of edge {self.id} must lie between 0 and 10 m.")


class Ring(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A closed ring of corners with one edge per corner."""

    corners: tuple[Point, ...]
    edges: tuple[OutlineEdge, ...]

    def __post_init__(self) -> None:
        if len(self.corners) < 3:
            raise DocumentError("An outline needs at least three corners.")
        if len(self.edges) != len(self.corners):
            raise DocumentError("An outline needs as many edges as it has corners.")
        if not all(math.isfinite(v) and abs(v) < 1e9 for c in self.corners for v in c):
            raise DocumentError("A corner of an outline lies nowhere or too far away.")


class Section(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One body of a building: an outline with a profile per edge.

    `rings` holds the outer ring first, then the courtyards. With `deck_height` (mm above the
    section's eave) the roof is cut off flat there.
    """

    id: str
    name: str
    rings: tuple[Ring, ...]
    line: Literal["drip", "wall"] = "drip"
    eave_height: float = 2700.0
    overhang: float = 0.0
    deck_height: float | None = None

    def __post_init__(self) -> None:
        if not self.rings:
            raise DocumentError(f"Section {self.name} has no outline.")
        if not 0 <= self.overhang <= 10_000:
            raise DocumentError(f"The overhang of {self.name} must lie between 0 and 10 m.")
        if not abs(self.eave_height) < 1e6:
            raise DocumentError(f"The eave height of {self.name} must lie within 1 km.")
        if self.deck_height is not None and not 0 < self.deck_height < 1e6:
            raise DocumentError(f"The deck of {self.name} must lie above its eave.")
        ids = [e.id for r in self.rings for e in r.edges]
        if len(set(ids)) != len(ids):
            raise DocumentError(f"Two edges of {self.name} have the same id.")


class Building(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A house, a garage: sections that belong together."""

    id: str
    name: str
    sections: tuple[Section, ...] = ()


class Underlay(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A picture under the plan.

    `file` names the picture inside the project file. The picture's top left corner lies at
    `origin`; it is `mm_per_pixel` large and turned by `turn` degrees, counter-clockwise.
    """

    id: str
    file: str
    width: int
    height: int
    mm_per_pixel: float = 20.0
    origin: Point = (0.0, 0.0)
    turn: float = 0.0
    opacity: float = 0.8
    visible: bool = True
    scaled: bool = False

    def __post_init__(self) -> None:
        if not (math.isfinite(self.mm_per_pixel) and self.mm_per_pixel > 0):
            raise DocumentError("The scale of a picture must be more than 0.")
        if not 0 <= self.opacity <= 1:
            raise DocumentError("The opacity of a picture must lie between 0 and 1.")


class Job(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Who and where: printed on sheets, used in no calculation."""

    name: str = "New job"
    client: str = ""
    place: str = ""
    notes: str = ""


class Units(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How lengths are shown: feet and inches to 1/`fraction` in, or metric."""

    system: Literal["feet", "metric"] = "feet"
    fraction: Literal[8, 16] = 8


class Project(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The whole document. `pictures` go by file name and travel inside the project file."""

    system: RoofingSystem
    job: Job = Job()
    units: Units = Units()
    buildings: tuple[Building, ...] = (Building("b1", "House"),)
    underlays: tuple[Underlay, ...] = ()

    def __post_init__(self) -> None:
        ids = [b.id for b in self.buildings] + [s.id for b in self.buildings for s in b.sections]
        if len(set(ids)) != len(ids):
            raise DocumentError("Two parts of the project have the same id.")

    def sections(self) -> tuple[Section, ...]:
        """All sections, building after building."""
        return tuple(s for b in self.buildings for s in b.sections)

    def section(self, section_id: str) -> Section:
        """The section with this id; DocumentError if there is none."""
        for s in self.sections():
            if s.id == section_id:
                return s
        raise DocumentError(f"There is no section {section_id}.")
