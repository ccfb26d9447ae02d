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
from collections.abc import Iterable
from typing import Literal, TypeVar

import msgspec

from roofmodel.document.layouts import PanelLayout, PlaneLayout
from roofmodel.document.offers import Offer
from roofmodel.document.parts import DrawnPlane, Opening, Point
from roofmodel.document.releases import Release, ShopRules
from roofmodel.document.sureness import Reading, Tolerances
from roofmodel.document.underlays import Underlay as Underlay
from roofmodel.document.work import Work
from roofmodel.errors import DocumentError
from roofmodel.systems import EdgeKind, RoofingSystem, TrimProfile
from roofmodel.systems.layers import Layers
from roofmodel.systems.prices import PriceBook

OTHER = "other"
"""Covering of planes that the crew does not roof in one of the job's systems: counted as area."""
NOT_IN_JOB = "not in this job"
"""Covering of planes that only stand there."""


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

    `level` says what lies level around the section: with "fascias" every eave is at
    `eave_height` (plus its profile's first height), whatever its overhang; with "plates"
    `eave_height` is that of the wall plates and each eave lies overhang × slope below it. A
    section that is `open_below` (a carport) hides nothing that reaches under it.

    A dormer keeps its `face` (mm from the roof below the middle of its front to its plate); a
    dormer or wing that reaches into a roof keeps the id of the edge that does so, its `back`.
    What is not `visible` is only not drawn: it counts all the same.
    """

    id: str
    name: str
    rings: tuple[Ring, ...]
    line: Literal["drip", "wall"] = "drip"
    eave_height: float = 2743.2
    overhang: float = 0.0
    deck_height: float | None = None
    level: Literal["fascias", "plates"] = "fascias"
    open_below: bool = False
    ids_used: int = 0
    visible: bool = True
    face: float | None = None
    back: str = ""

    def __post_init__(self) -> None:
        if not self.rings:
            raise DocumentError(f"Section {self.name} has no outline.")
        if not 0 <= self.overhang <= 10_000:
            raise DocumentError(f"The overhang of {self.name} must lie between 0 and 10 m.")
        if not abs(self.eave_height) < 1e6:
            raise DocumentError(f"The eave height of {self.name} must lie within 1 km.")
        if self.deck_height is not None and not 0 < self.deck_height < 1e6:
            raise DocumentError(f"The deck of {self.name} must lie above its eave.")
        if self.face is not None and not 0 <= self.face <= 20_000:
            raise DocumentError(f"The face of {self.name} must be between 0 and 20 m high.")
        ids = [e.id for r in self.rings for e in r.edges]
        if len(set(ids)) != len(ids):
            raise DocumentError(f"Two edges of {self.name} have the same id.")


class Building(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A house, a garage: what belongs together.

    `covering` is that of its planes unless one has its own: the id of one of the job's systems,
    "" for the first, `OTHER` or `NOT_IN_JOB`.
    """

    id: str
    name: str
    sections: tuple[Section, ...] = ()
    planes: tuple[DrawnPlane, ...] = ()
    openings: tuple[Opening, ...] = ()
    covering: str = ""

    def part_ids(self) -> tuple[str, ...]:
        """Ids of everything in the building."""
        parts: tuple[Section | DrawnPlane | Opening, ...]
        parts = (*self.sections, *self.planes, *self.openings)
        return tuple(p.id for p in parts)


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


class EdgeOverride(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A kind given to a roof edge by hand; `edge` is its identity in words."""

    edge: str
    kind: EdgeKind


class PlaneCovering(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A covering given to one plane; `plane` is its identity in words."""

    plane: str
    covering: str


class Project(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The whole document. `pictures` go by file name and travel inside the project file.

    `system` is the job's first roofing system, `more_systems` the others. `ids_used` counts the
    parts ever made, so that no identity is given twice. `layout` is how panels are laid, unless
    `plane_layouts` has another for the plane.
    """

    system: RoofingSystem
    job: Job = Job()
    units: Units = Units()
    buildings: tuple[Building, ...] = (Building("b1", "House"),)
    underlays: tuple[Underlay, ...] = ()
    more_systems: tuple[RoofingSystem, ...] = ()
    edge_overrides: tuple[EdgeOverride, ...] = ()
    plane_coverings: tuple[PlaneCovering, ...] = ()
    ids_used: int = 0
    layout: PanelLayout = PanelLayout()
    plane_layouts: tuple[PlaneLayout, ...] = ()
    work: Work = Work()
    layers: Layers = Layers()
    parts: tuple[TrimProfile, ...] = ()
    prices: PriceBook | None = None
    colour: str = ""
    offers: tuple[Offer, ...] = ()
    tolerances: Tolerances = Tolerances()
    readings: tuple[Reading, ...] = ()
    releases: tuple[Release, ...] = ()
    shop: ShopRules = ShopRules()

    def __post_init__(self) -> None:
        ids = [b.id for b in self.buildings] + [i for b in self.buildings for i in b.part_ids()]
        if len(set(ids)) != len(ids):
            raise DocumentError("Two parts of the project have the same id.")
        systems = [s.id for s in self.systems()]
        if len(set(systems)) != len(systems):
            raise DocumentError("Two roofing systems of the job have the same id.")
        known = {"", OTHER, NOT_IN_JOB, *systems}
        coverings = [b.covering for b in self.buildings]
        coverings += [c.covering for c in self.plane_coverings]
        if not known.issuperset(coverings):
            wrong = min(c for c in coverings if c not in known)
            raise DocumentError(f"There is no roofing system {wrong} in this job.")
        for what, keys in (
            ("edge", [o.edge for o in self.edge_overrides]),
            ("plane", [c.plane for c in self.plane_coverings]),
            ("panel layout", [p.plane for p in self.plane_layouts]),
            ("cross-section of trim", [p.name for p in self.parts]),
            ("offer", [o.id for o in self.offers]),
            ("revision", [str(r.number) for r in self.releases]),
        ):
            if len(set(keys)) != len(keys):
                raise DocumentError(f"One {what} was set twice by hand.")

    def systems(self) -> tuple[RoofingSystem, ...]:
        """The job's roofing systems, the first one first."""
        return (self.system, *self.more_systems)

    def sections(self) -> tuple[Section, ...]:
        """All sections, building after building."""
        return tuple(s for b in self.buildings for s in b.sections)

    def planes(self) -> tuple[DrawnPlane, ...]:
        """All planes drawn by hand, building after building."""
        return tuple(p for b in self.buildings for p in b.planes)

    def openings(self) -> tuple[Opening, ...]:
        """All openings, building after building."""
        return tuple(o for b in self.buildings for o in b.openings)

    def section(self, section_id: str) -> Section:
        """The section with this id; DocumentError if there is none."""
        return _by_id(self.sections(), section_id, "section")

    def plane(self, plane_id: str) -> DrawnPlane:
        """The drawn plane with this id; DocumentError if there is none."""
        return _by_id(self.planes(), plane_id, "drawn plane")

    def opening(self, opening_id: str) -> Opening:
        """The opening with this id; DocumentError if there is none."""
        return _by_id(self.openings(), opening_id, "opening")

    def building(self, building_id: str) -> Building:
        """The building with this id; DocumentError if there is none."""
        return _by_id(self.buildings, building_id, "building")

    def building_of(self, part_id: str) -> Building:
        """The building a part belongs to; DocumentError if there is none."""
        for b in self.buildings:
            if part_id in b.part_ids():
                return b
        raise DocumentError(f"There is no part {part_id}.")

    def covering(self, building_id: str, plane: str) -> str:
        """The covering of a roof plane (its identity in words): a system's id, `OTHER` or
        `NOT_IN_JOB`."""
        for c in self.plane_coverings:
            if c.plane == plane:
                return c.covering or self.system.id
        return self.building(building_id).covering or self.system.id

    def layout_of(self, plane: str) -> PanelLayout:
        """How panels are laid on a roof plane (its identity in words)."""
        own = (p.layout for p in self.plane_layouts if p.plane == plane)
        return next(own, self.layout)


_Part = TypeVar("_Part", Section, DrawnPlane, Opening, Building)


def _by_id(parts: Iterable[_Part], part_id: str, what: str) -> _Part:
    for part in parts:
        if part.id == part_id:
            return part
    raise DocumentError(f"There is no {what} {part_id}.")
