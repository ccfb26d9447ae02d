"""Random projects by seed: sections with overhangs, openings with and without saddles, drawn
planes; the same projects moved, turned, mirrored and listed otherwise; and projects made to
break things."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from msgspec.structs import replace

from roofmodel.document import (
    Building,
    ByHeights,
    BySlope,
    DrawnPlane,
    Opening,
    OutlineEdge,
    Point,
    Project,
    Ring,
    Section,
    Step,
)
from tests.houses import FT, plain_system
from tests.surface.random_compositions import composition


@dataclass(frozen=True)
class Motion:
    """p -> turned by `degrees`, mirrored in the y axis if `mirrored`, moved by (dx, dy, dz) mm."""

    dx: float = 0.0
    dy: float = 0.0
    dz: float = 0.0
    degrees: float = 0.0
    mirrored: bool = False

    def point(self, p: Point) -> Point:
        """A point of the plan, moved."""
        x, y = self.direction(p)
        return x + self.dx, y + self.dy

    def direction(self, p: Point) -> Point:
        """A direction in plan, turned and mirrored."""
        angle = math.radians(self.degrees)
        c, s = math.cos(angle), math.sin(angle)
        x, y = p[0] * c - p[1] * s, p[0] * s + p[1] * c
        return (-x if self.mirrored else x), y

    def space(self, p: tuple[float, float, float]) -> tuple[float, float, float]:
        """A point in space, moved."""
        return (*self.point((p[0], p[1])), p[2] + self.dz)


def house(seed: int) -> Project:
    """A composed house with overhangs, two drawn planes and three openings."""
    rnd = random.Random(seed)
    level: tuple[Literal["fascias"], Literal["plates"]] = ("fascias", "plates")
    over = rnd.choice((0.0, 1.0, 2.0)) * FT
    sections = tuple(
        replace(
            recipe.section(f"s{k}"),
            overhang=over,
            line=rnd.choice(("drip", "wall")),
            level=rnd.choice(level),
            open_below=rnd.random() < 0.1,
        )
        for k, recipe in enumerate(composition(seed))
    )
    x, y = (0.25 * round(rnd.uniform(-10.0, 20.0) * 4.0) for _ in range(2))
    sloping = DrawnPlane(
        "d1",
        "Sloping",
        _quad(x, y, 14.0, 11.0),
        BySlope(
            (x * FT, y * FT, 10.0 * FT),
            rnd.choice((0.0, 0.25, 0.5)),
            rnd.choice((0.0, 90.0, 215.0)),
        ),
        overhang=rnd.choice((0.0, 300.0)),
        open_below=rnd.random() < 0.3,
    )
    x, y = x + 9.0, y - 4.0
    heights = DrawnPlane(
        "d2",
        "Heights",
        _quad(x, y, 9.0, 13.0),
        ByHeights(
            (
                (x * FT, y * FT, 9.0 * FT),
                ((x + 9.0) * FT, y * FT, 12.0 * FT),
                (x * FT, (y + 13.0) * FT, 15.5 * FT),
            )
        ),
    )
    kinds: tuple[Literal["chimney", "skylight", "pipe"], ...] = ("chimney", "skylight", "pipe")
    openings = []
    for k, kind in enumerate(kinds):
        x, y = (0.25 * round(rnd.uniform(1.0, 20.0) * 4.0) for _ in range(2))
        size = (3.0, 2.5, 0.5)[k]
        corners = _quad(x, y, size, size + 1.0)
        openings.append(Opening(f"o{k}", f"Opening {k}", kind, corners, saddle=k == 0))
    building = Building("b1", "House", sections, (sloping, heights), tuple(openings))
    return Project(plain_system(), buildings=(building,))


def _quad(x: float, y: float, wide: float, deep: float) -> tuple[Point, ...]:
    corners = ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep))
    return tuple((px * FT, py * FT) for px, py in corners)


def moved(project: Project, motion: Motion) -> Project:
    """Everything moved, turned, mirrored."""

    def plane(p: DrawnPlane) -> DrawnPlane:
        lies = p.lies
        if isinstance(lies, BySlope):
            angle = math.radians(lies.bearing)
            x, y = motion.direction((math.sin(angle), math.cos(angle)))
            bearing = math.degrees(math.atan2(x, y))
            lies = BySlope(motion.space(lies.through), lies.slope, bearing)
        elif isinstance(lies, ByHeights):
            a, b, c = (motion.space(q) for q in lies.points)
            lies = ByHeights((a, b, c))
        return replace(p, lies=lies, corners=tuple(map(motion.point, p.corners)))

    def section(s: Section) -> Section:
        rings = tuple(replace(r, corners=tuple(map(motion.point, r.corners))) for r in s.rings)
        return replace(s, rings=rings, eave_height=s.eave_height + motion.dz)

    def opening(o: Opening) -> Opening:
        return replace(o, corners=tuple(map(motion.point, o.corners)))

    return _each(project, section, plane, opening)


def renumbered(project: Project, by: int) -> Project:
    """Every ring begins at another corner and runs the other way round."""

    def corners(some: tuple[Point, ...]) -> tuple[Point, ...]:
        k = by % len(some)
        return (some[k:] + some[:k])[::-1]

    def ring(r: Ring) -> Ring:
        k = by % len(r.corners)
        edges = (r.edges[k:] + r.edges[:k])[::-1]
        # backwards, edge j runs from corner j to j + 1: it was the one before corner j
        return Ring(corners(r.corners), edges[1:] + edges[:1])

    return _each(
        project,
        lambda s: replace(s, rings=tuple(map(ring, s.rings))),
        lambda p: replace(p, corners=corners(p.corners)),
        lambda o: replace(o, corners=corners(o.corners)),
    )


def relisted(project: Project, seed: int) -> Project:
    """Sections, planes and openings in another order."""
    rnd = random.Random(seed)
    building = project.buildings[0]
    sections, planes, openings = (
        list(p) for p in (building.sections, building.planes, building.openings)
    )
    rnd.shuffle(sections)
    rnd.shuffle(planes)
    rnd.shuffle(openings)
    other = replace(
        building, sections=tuple(sections), planes=tuple(planes), openings=tuple(openings)
    )
    return replace(project, buildings=(other,))


def _each(
    project: Project,
    section: Callable[[Section], Section],
    plane: Callable[[DrawnPlane], DrawnPlane],
    opening: Callable[[Opening], Opening],
) -> Project:
    buildings = tuple(
        replace(
            b,
            sections=tuple(map(section, b.sections)),
            planes=tuple(map(plane, b.planes)),
            openings=tuple(map(opening, b.openings)),
        )
        for b in project.buildings
    )
    return replace(project, buildings=buildings)


def wild(seed: int) -> Project:
    """A project made to break things: lines a hair apart, walls almost parallel, sections twice,
    tiny, far away, many; openings across everything."""
    rnd = random.Random(seed)
    project = house(seed)
    building = project.buildings[0]
    sections = list(building.sections)
    if rnd.random() < 0.3:
        sections += [
            replace(r.section(f"m{k}"), overhang=rnd.choice((0.0, 150.0)))
            for other in range(rnd.randint(1, 4))
            for k, r in enumerate(composition(seed + 1000 * other), 10 * other)
        ]
    for k in range(rnd.randint(1, 4)):
        sections.append(_shaken(rnd, rnd.choice(sections), f"x{k}"))
    if rnd.random() < 0.3:
        size = 10.0 ** rnd.uniform(-3.0, 2.5)
        base = rnd.choice(sections).rings[0].corners[0]
        corners = tuple((base[0] + u * size, base[1] + v * size)
                        for u, v in ((0, 0), (1, 0), (1, 1.3), (0, 1)))  # fmt: skip
        edges = tuple(OutlineEdge(f"e{k}", (Step(0.0, 0.5),)) for k in range(4))
        sections.append(Section("tiny", "Tiny", (Ring(corners, edges),)))
    openings = list(building.openings)
    if rnd.random() < 0.5:
        turn = rnd.uniform(0.0, 360.0)
        motion = Motion(degrees=turn, dx=rnd.uniform(0.0, 5e3), dy=rnd.uniform(0.0, 5e3))
        strip = tuple(map(motion.point, _quad(-50.0, 0.0, 100.0, rnd.choice((0.01, 1.0, 9.0)))))
        openings.append(Opening("across", "Across", rnd.choice(("chimney", "skylight")), strip))
    if rnd.random() < 0.4:  # a hole along a section's corner or wall, a hair off
        x, y = rnd.choice(rnd.choice(sections).rings[0].corners)
        x, y = (v / FT + rnd.choice((0.0, 10.0 ** rnd.uniform(-4.0, -1.0))) for v in (x, y))
        openings.append(Opening("corner", "Corner", "chimney", _quad(x, y, 2.0, 3.0), saddle=True))
    other = replace(building, sections=tuple(sections), openings=tuple(openings))
    project = replace(project, buildings=(other,))
    if rnd.random() < 0.2:
        project = moved(project, Motion(dx=rnd.choice((1e7, 9e8)), degrees=rnd.uniform(0.0, 90.0)))
    return project


def _shaken(rnd: random.Random, section: Section, section_id: str) -> Section:
    """The section again, a hair away, turned by next to nothing, or just the same."""
    off = rnd.choice((0.0, 10.0 ** rnd.uniform(-7.0, -1.0), rnd.uniform(0.1, 3.0), 1.0, 2.0))
    turn = rnd.choice((0.0, 0.0, 10.0 ** rnd.uniform(-6.0, -2.0)))
    x, y = section.rings[0].corners[0]
    c, s = math.cos(turn), math.sin(turn)
    far = rnd.choice((0.0, 0.0, 0.0, 3000.0, 1e6))

    def shake(p: Point) -> Point:
        u, v = p[0] - x, p[1] - y
        jitter = rnd.choice((0.0, off))
        return x + u * c - v * s + off + far, y + u * s + v * c + jitter

    ring = section.rings[0]
    rings = (replace(ring, corners=tuple(map(shake, ring.corners))), *section.rings[1:])
    lift = rnd.choice((0.0, 0.0, 0.5, 1.0, 3.0, 10.0 ** rnd.uniform(-9.0, 2.0)))
    height = section.eave_height + lift
    return replace(section, id=section_id, name=section_id, rings=rings, eave_height=height)
