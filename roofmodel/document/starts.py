"""Ready-made bodies: a usual outline with its edges already sloped, gabled or stepped.

Each is drawn in its own frame (x along its width, y along its depth, the middle of the box around
it at the origin; y points away from its front) and then turned and put in its place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import StrEnum
from typing import Final, Literal

import msgspec

from roofmodel.document.boxes import Box
from roofmodel.document.edge_shapes import EdgeShape, profile_of
from roofmodel.document.edits import (
    new_section,
    set_eave_height,
    set_line,
    set_overhang,
    set_profile,
)
from roofmodel.document.part_edits import set_open_below
from roofmodel.document.parts import Point
from roofmodel.document.types import Project, Step
from roofmodel.errors import DocumentError


class StartKind(StrEnum):
    """The bodies there are to start from."""

    GABLE = "gable"
    HIP = "hip"
    SHED = "shed"
    GAMBREL = "gambrel"
    MANSARD = "mansard"
    ELL = "L"
    TEE = "T"
    PORCH = "porch"


LEG_SHARE: Final = 0.45
"""Width of the legs of an L or T, of the smaller of its width and depth."""

SIZES_MM: Final[Mapping[StartKind, tuple[float, float]]] = {
    StartKind.GABLE: (12192.0, 8534.4),
    StartKind.HIP: (12192.0, 8534.4),
    StartKind.SHED: (6096.0, 3657.6),
    StartKind.GAMBREL: (10972.8, 7315.2),
    StartKind.MANSARD: (10972.8, 9144.0),
    StartKind.ELL: (15240.0, 12192.0),
    StartKind.TEE: (15240.0, 12192.0),
    StartKind.PORCH: (4876.8, 2438.4),
}
"""First width and depth of each: 40 by 28 ft, 20 by 12, 36 by 24, 36 by 30, 50 by 40, 16 by 8."""


class Start(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A ready-made body: `width` along its own x axis, which lies `turn` degrees counter-clockwise
    from the east, and `depth` across it, around `middle`; mm.

    `slope` is that of its sloping edges (the upper one of a gambrel or mansard); the ridge of a
    gable or gambrel runs along the width. `leg` is the width of an L's or T's legs (None: a usual
    share). `line` says whether width and depth are those of the roof or of the walls.
    """

    kind: StartKind
    middle: Point = (0.0, 0.0)
    turn: float = 0.0
    width: float = 12192.0
    depth: float = 8534.4
    eave: float = 2743.2
    slope: float = 0.5
    overhang: float = 0.0
    leg: float | None = None
    line: Literal["drip", "wall"] = "drip"


NAMES: Final[Mapping[StartKind, str]] = {
    **{kind: f"{kind.value[:1].upper()}{kind.value[1:]} body" for kind in StartKind},
    StartKind.PORCH: "Porch",
}
"""What a new body of each kind is called; a second one has a number."""


def usual(kind: StartKind) -> Start:
    """A body of a kind in its usual size."""
    width, depth = SIZES_MM[kind]
    slope = {StartKind.PORCH: 0.25, StartKind.SHED: 0.25, StartKind.MANSARD: 0.25}.get(kind, 0.5)
    eave = 2438.4 if kind is StartKind.PORCH else 2743.2
    return Start(kind, width=width, depth=depth, slope=slope, eave=eave)


def outline_of(start: Start) -> tuple[Point, ...]:
    """The corners of the body, counter-clockwise, mm; DocumentError if it has no size."""
    return tuple(_placed(start, p) for p in _corners(start))


def place_start(
    project: Project, start: Start, name: str | None = None, building: str | None = None
) -> tuple[Project, str]:
    """Add the body as a section; returns the project and the section's id. Without a name it is
    called by its kind."""
    corners = outline_of(start)
    name = name if name is not None and name.strip() else _free(project, NAMES[start.kind])
    project, section = new_section(project, corners, name, building=building)
    for edge, profile in zip(
        project.section(section).rings[0].edges, profiles_of(start), strict=True
    ):
        project = set_profile(project, section, [edge.id], profile)
    project = set_eave_height(project, section, start.eave)
    project = set_overhang(project, section, None, start.overhang)
    project = set_line(project, section, start.line)
    if start.kind is StartKind.PORCH:
        project = set_open_below(project, section, True)
        # Its back lies against the wall: nothing hangs over there.
        back = project.section(section).rings[0].edges[2].id
        project = set_overhang(project, section, back, 0.0)
    return project, section


def profiles_of(start: Start) -> tuple[tuple[Step, ...], ...]:
    """The profile of each edge, in the order of `outline_of`; the first is the front."""
    eave, gable = (Step(0.0, start.slope),), (Step(0.0, None),)
    kind = start.kind
    if kind in (StartKind.GABLE, StartKind.GAMBREL):
        side = eave if kind is StartKind.GABLE else _stepped(start, EdgeShape.GAMBREL)
        return side, gable, side, gable
    if kind in (StartKind.HIP, StartKind.MANSARD):
        side = eave if kind is StartKind.HIP else _stepped(start, EdgeShape.MANSARD)
        return side, side, side, side
    if kind in (StartKind.SHED, StartKind.PORCH):
        return eave, gable, gable, gable
    if kind is StartKind.ELL:
        return eave, gable, eave, eave, gable, eave
    return gable, eave, eave, gable, eave, gable, eave, eave


def _free(project: Project, name: str) -> str:
    """The name, or with the first number from 2 that no section has."""
    taken = {s.name for s in project.sections()}
    number, found = 1, name
    while found in taken:
        number += 1
        found = f"{name} {number}"
    return found


def _stepped(start: Start, shape: EdgeShape) -> tuple[Step, ...]:
    """A gambrel's or mansard's side, its break in proportion to the smaller half of the body, so
    that a small one keeps its form."""
    half = min(start.width, start.depth) / 2.0
    lower = 20.0 / 12.0 if shape is EdgeShape.GAMBREL else 40.0 / 12.0
    run = half * (0.4 if shape is EdgeShape.GAMBREL else 0.15)
    return profile_of(
        shape, {"lower": max(lower, 1.5 * start.slope), "break": run * lower, "pitch": start.slope}
    )


def _corners(start: Start) -> tuple[Point, ...]:
    """The corners in the body's own frame."""
    sizes = (start.width, start.depth, start.eave, start.slope, start.overhang, start.turn)
    if not all(math.isfinite(v) for v in (*sizes, *start.middle)):
        raise DocumentError("A ready-made body needs finite sizes.")
    box = Box((0.0, 0.0), start.width, start.depth).corners()
    w, d = start.width / 2.0, start.depth / 2.0
    if start.kind not in (StartKind.ELL, StartKind.TEE):
        return box
    leg = LEG_SHARE * min(start.width, start.depth) if start.leg is None else start.leg
    if not 0 < leg < min(start.width, start.depth):
        raise DocumentError("The legs must be narrower than the whole body is wide and deep.")
    if start.kind is StartKind.ELL:
        return (-w, -d), (w, -d), (w, leg - d), (leg - w, leg - d), (leg - w, d), (-w, d)
    h = leg / 2.0
    return (
        (-h, -d), (h, -d), (h, d - leg), (w, d - leg), (w, d), (-w, d), (-w, d - leg),
        (-h, d - leg),
    )  # fmt: skip


def _placed(start: Start, p: Point) -> Point:
    """A point of the body's own frame in plan; quarter turns are exact."""
    quarter, rest = divmod(start.turn, 90.0)
    c, s = math.cos(math.radians(rest)), math.sin(math.radians(rest))
    for _ in range(int(quarter) % 4):
        c, s = -s, c
    return start.middle[0] + c * p[0] - s * p[1], start.middle[1] + s * p[0] + c * p[1]
