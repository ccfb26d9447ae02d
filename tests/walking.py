"""A random walk over all edits there are, by seed: arguments for each, some of them wrong.

`public_edits` finds the edits; `ARGUMENTS` knows how to call each. An edit that is missing there
is reported by a test, so that none escapes the walk.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import random
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from msgspec.structs import replace

import roofmodel.document
from roofmodel.document import (
    NOT_IN_JOB,
    OTHER,
    ByHeights,
    BySlope,
    Job,
    Point,
    Project,
    Section,
    Step,
    Underlay,
    Units,
)
from roofmodel.document.dormers import Dormer, DormerKind
from roofmodel.document.edge_shapes import EdgeShape
from roofmodel.document.layouts import STARTS, PanelLayout
from roofmodel.document.starts import StartKind, usual
from roofmodel.document.work import EDITIONS, OVERS
from roofmodel.systems import EdgeKind
from roofmodel.systems.layers import FELT_15, Layers
from tests.houses import FT, plain_system
from tests.walking_money import MONEY

Edit = Callable[..., "Project | tuple[Project, str]"]
Arguments = tuple[tuple[object, ...], dict[str, object]]

MOST_PARTS = 6
RETURNS = ("Project", "tuple[Project, str]")


def public_edits() -> dict[str, Edit]:
    """Every public function of the document that takes a project and returns one."""
    found: dict[str, Edit] = {}
    for module_info in pkgutil.iter_modules(roofmodel.document.__path__):
        if module_info.name == "changes":  # what edits are made of
            continue
        module = importlib.import_module(f"roofmodel.document.{module_info.name}")
        for name, function in vars(module).items():
            if name.startswith("_") or not inspect.isfunction(function):
                continue
            if function.__module__ != module.__name__:
                continue
            signature = inspect.signature(function)
            first = [p.annotation for p in signature.parameters.values()][:1]
            if first == ["Project"] and signature.return_annotation in RETURNS:
                found[name] = function
    return found


@dataclass
class Chance:
    """Draws of a walk: where things are, how large, which part, seldom something impossible."""

    rnd: random.Random
    project: Project
    made: int = field(default=0)

    def feet(self, low: float, high: float) -> float:
        """A length in mm on the quarter foot."""
        return round(self.rnd.uniform(low, high) * 4) / 4 * FT

    def point(self) -> Point:
        """A place in plan."""
        return self.feet(-40, 60), self.feet(-40, 60)

    def seldom(self) -> bool:
        """One time in thirty."""
        return self.rnd.random() < 1 / 30

    def slope(self) -> float | None:
        """A pitch, a gable, seldom one that cannot be."""
        return -1.0 if self.seldom() else self.rnd.choice((None, 0.25, 0.5, 0.5, 1.0))

    def name(self) -> str:
        """A name, seldom an empty one."""
        words = ("North wing", "Ätna №2", "a" * 80, '"quoted"', "Garage")
        return "  " if self.seldom() else self.rnd.choice(words)

    def box(self, least: float = 8, most: float = 40) -> list[Point]:
        """A rectangle or an L somewhere."""
        x, y = self.point()
        w, d = self.feet(least, most), self.feet(least, most)
        if self.rnd.random() < 0.3:
            a, b = w / 2, d / 2
            return [(x, y), (x + w, y), (x + w, y + b), (x + a, y + b), (x + a, y + d), (x, y + d)]
        return [(x, y), (x + w, y), (x + w, y + d), (x, y + d)]

    def _one(self, ids: list[str]) -> str:
        return "nothing" if not ids or self.seldom() else self.rnd.choice(ids)

    def section(self) -> str:
        """A section's id."""
        return self._one([s.id for s in self.project.sections()])

    def plane(self) -> str:
        """A drawn plane's id."""
        return self._one([p.id for p in self.project.planes()])

    def opening(self) -> str:
        """An opening's id."""
        return self._one([o.id for o in self.project.openings()])

    def building(self) -> str:
        """A building's id."""
        return self._one([b.id for b in self.project.buildings])

    def part(self) -> str:
        """Any part's id."""
        return self._one([i for b in self.project.buildings for i in b.part_ids()])

    def underlay(self) -> str:
        """A picture's id."""
        return self._one([u.id for u in self.project.underlays])

    def of_section(self) -> tuple[str, Section | None]:
        """A section's id, and the section if there is one."""
        known = {s.id: s for s in self.project.sections()}
        chosen = self.section()
        return chosen, known.get(chosen)

    def edges(self) -> tuple[str, list[str]]:
        """A section and some of its edges."""
        chosen, section = self.of_section()
        if section is None:
            return chosen, ["e1"]
        ids = [e.id for r in section.rings for e in r.edges]
        return chosen, self.rnd.sample(ids, self.rnd.randint(1, len(ids)))

    def edge(self) -> tuple[str, str]:
        """A section and one of its edges."""
        chosen, edges = self.edges()
        return chosen, edges[0]

    def turn(self) -> float:
        """A turn in degrees."""
        return self.rnd.choice((0.0, 90.0, 180.0, 17.5))

    def corner(self) -> tuple[str, int, int]:
        """A section, one of its rings, and a corner there."""
        chosen, section = self.of_section()
        if section is None:
            return chosen, 0, 0
        ring = self.rnd.randrange(len(section.rings))
        count = len(section.rings[ring].corners)
        return chosen, ring, count + 3 if self.seldom() else self.rnd.randrange(count)

    def lies(self) -> BySlope | ByHeights:
        """How a drawn plane lies."""
        (x, y), z = self.point(), self.feet(6, 12)
        if self.rnd.random() < 0.5:
            return BySlope((x, y, z), 0.25, self.rnd.choice((0.0, 90.0, 180.0, 271.5)))
        return ByHeights(((x, y, z), (x + 3000.0, y, z), (x, y + 2000.0, z + 500.0)))

    def key(self) -> str:
        """Words that may or may not name a roof plane."""
        chosen, edges = self.edges()
        return f"{chosen}/{edges[0]}/0/0"

    def covering(self) -> str:
        """A covering."""
        ids = [s.id for s in self.project.systems()]
        return "unknown" if self.seldom() else self.rnd.choice(["", OTHER, NOT_IN_JOB, *ids])

    def system_id(self) -> str:
        """The id of a system of the job, seldom of none."""
        return "none" if self.seldom() else self.rnd.choice(self.project.systems()).id

    def box_in_section(self) -> list[Point]:
        """A small rectangle, of the size of a chimney."""
        return self.box(1, 5)


def _a(*positional: object, **named: object) -> Arguments:
    return positional, named


def _profile(c: Chance) -> list[Step]:
    if c.rnd.random() < 0.5:
        return [Step(0.0, 1.5), Step(c.feet(2, 6), 0.5)]
    return [Step(0.0, 0.5), Step(-10.0 if c.seldom() else c.feet(3, 8), None)]


def _underlay(c: Chance) -> Underlay:
    taken = {u.id for u in c.project.underlays}
    free = next(f"u{n}" for n in range(1, 99) if f"u{n}" not in taken)
    return Underlay("u1" if c.seldom() else free, "picture.png", 640, 480, origin=c.point())


def _dormer(c: Chance) -> Dormer:
    kind = c.rnd.choice(list(DormerKind))
    return Dormer(kind, c.point(), c.rnd.choice((0.0, 90.0, 180.0, 12.5)), c.feet(4, 10))


def _new_system(c: Chance) -> Any:
    return replace(plain_system(24.0), id=f"system {c.rnd.randint(1, 3)}")


def _changed_system(c: Chance) -> Any:
    return replace(plain_system(c.rnd.choice((12.0, 20.0, 24.0))), id=c.system_id())


ARGUMENTS: Final[Mapping[str, Callable[[Chance], Arguments]]] = {
    "new_section": lambda c: _a(c.box(), None if c.seldom() else c.name()),
    "rename_section": lambda c: _a(c.section(), c.name()),
    "move_corner": lambda c: _a(*c.corner(), c.point()),
    "add_corner": lambda c: _a(*c.corner(), c.point()),
    "remove_corner": lambda c: _a(*c.corner()),
    "set_slope": lambda c: _a(*c.edges(), c.slope()),
    "set_profile": lambda c: _a(*c.edges(), _profile(c)),
    "set_overhang": lambda c: _a(c.section(), None, None if c.seldom() else c.feet(0, 3)),
    "set_eave_height": lambda c: _a(c.section(), 1e9 if c.seldom() else c.feet(6, 20)),
    "set_line": lambda c: _a(
        c.section(), "side" if c.seldom() else c.rnd.choice(("drip", "wall"))
    ),
    "set_deck_height": lambda c: _a(c.section(), c.rnd.choice((None, c.feet(3, 9)))),
    "set_level": lambda c: _a(c.section(), c.rnd.choice(("fascias", "plates"))),
    "match_overhangs": lambda c: _a(c.section(), c.feet(0, 2)),
    "change_underlay": lambda c: _a(
        c.underlay(), mm_per_pixel=-1.0 if c.seldom() else c.feet(1, 2), origin=c.point()
    ),
    "remove_underlay": lambda c: _a(c.underlay()),
    "set_job": lambda c: _a(Job(c.name(), place=c.name())),
    "set_units": lambda c: _a(c.rnd.choice((Units(), Units("feet", 16), Units("metric")))),
    "add_courtyard": lambda c: _a(c.section(), c.box_in_section()),
    "align_section": lambda c: _a(c.section(), c.rnd.choice((None, 0.0, 30.0))),
    "offset_edge": lambda c: _a(*c.edges(), c.feet(-3, 3)),
    "set_edge_length": lambda c: _a(*c.edge(), -1.0 if c.seldom() else c.feet(5, 30)),
    "split_edge": lambda c: _a(*c.edge(), c.rnd.choice((c.point(), c.feet(1, 5)))),
    "set_shape": lambda c: _a([c.edge()], c.rnd.choice(list(EdgeShape))),
    "step_pitches": lambda c: _a([c.edge()], c.rnd.choice((1 / 12, -1 / 12))),
    "place_start": lambda c: _a(
        replace(usual(c.rnd.choice(list(StartKind))), middle=c.point(), turn=c.turn()), c.name()
    ),
    "new_dormer": lambda c: _a(_dormer(c), c.feet(8, 14)),
    "set_dormer": lambda c: _a(c.section(), _dormer(c), c.feet(8, 14)),
    "copy_part": lambda c: _a(c.part(), c.feet(-20, 20), c.feet(-20, 20)),
    "mirror_copy": lambda c: _a(c.part(), c.point(), c.point()),
    "mirror_part": lambda c: _a(c.part(), c.point(), c.point()),
    "mirror_parts": lambda c: _a([c.part()], across=c.rnd.random() < 0.5),
    "turn_parts": lambda c: _a([c.part()], c.turn()),
    "new_underlay": lambda c: _a(_underlay(c)),
    "add_distance": lambda c: _a(c.underlay(), c.point(), c.point(), c.feet(0, 40)),
    "remove_distance": lambda c: _a(c.underlay(), 0),
    "change_order": lambda c: _a(c.underlay(), c.rnd.choice((-1, 1))),
    "move_underlay": lambda c: _a(c.underlay(), c.point()),
    "place_underlay": lambda c: _a(c.underlay(), c.point()),
    "set_scale": lambda c: _a(c.underlay(), -1.0 if c.seldom() else c.feet(0, 1) + 1.0),
    "square_underlay": lambda c: _a(c.underlay(), [(c.point(), c.point())]),
    "turn_underlay": lambda c: _a(c.underlay(), c.turn()),
    "new_plane": lambda c: _a(c.box(), c.lies()),
    "change_plane": lambda c: _a(c.plane(), lies=c.lies(), overhang=c.feet(0, 2)),
    "new_opening": lambda c: _a(
        "door" if c.seldom() else c.rnd.choice(("chimney", "skylight", "pipe")),
        c.box_in_section(),
        saddle=c.rnd.random() < 0.5,
    ),
    "change_opening": lambda c: _a(c.opening(), corners=c.box_in_section(), name=c.name()),
    "set_open_below": lambda c: _a(c.part(), c.rnd.random() < 0.5),
    "remove_part": lambda c: _a(c.part()),
    "rename_part": lambda c: _a(c.part(), c.name()),
    "move_part": lambda c: _a(c.part(), c.feet(-5, 5), c.feet(-5, 5)),
    "turn_part": lambda c: _a(c.part(), c.rnd.choice((0.0, 90.0, 180.0, 17.5))),
    "new_building": lambda c: _a(c.name()),
    "rename_building": lambda c: _a(c.building(), c.name()),
    "remove_building": lambda c: _a(c.building()),
    "move_to_building": lambda c: _a(c.part(), c.building()),
    "set_building_covering": lambda c: _a(c.building(), c.covering()),
    "set_plane_covering": lambda c: _a(c.key(), c.rnd.choice((None, c.covering()))),
    "set_edge_kind": lambda c: _a(c.key(), c.rnd.choice((None, *EdgeKind))),
    "add_system": lambda c: _a(_new_system(c)),
    "change_system": lambda c: _a(_changed_system(c)),
    "remove_system": lambda c: _a(c.system_id()),
    "set_plane_layout": lambda c: _a(c.key(), None if c.seldom() else _layout(c)),
    "lay_all_alike": lambda c: _a(_layout(c)),
    "change_layouts": lambda c: _a(_keys(c), _always(_layout(c))),
    "set_start": lambda c: _a(_keys(c), c.rnd.choice(STARTS)),
    "start_by_hand": lambda c: _a(_keys(c), c.feet(-2, 500 if c.seldom() else 30)),
    "turn_laying": lambda c: _a(_keys(c)),
    "vent_ridges": lambda c: _a(_keys(c), c.rnd.random() < 0.5),
    "put_system": lambda c: _a(c.rnd.choice((_new_system, _changed_system))(c)),
    "cover_job": lambda c: _a(c.system_id()),
    "set_work": lambda c: _a(
        edition=c.rnd.choice(EDITIONS),
        underlayment="cloth" if c.seldom() else c.rnd.choice(("", "felt No. 15")),
        membrane_on_low=c.rnd.random() < 0.5,
        mean_height=c.rnd.choice((None, c.feet(5, 30))),
    ),
    "set_old_roof": lambda c: _a(
        over=c.rnd.choice(OVERS),
        layers=0 if c.seldom() else c.rnd.randint(1, 3),
        deck_share=c.rnd.random(),
    ),
    "set_ice_barrier": lambda c: _a(on=c.rnd.random() < 0.5, inside=c.feet(0, 4)),
    "set_ventilation": lambda c: _a(ratio=c.rnd.choice((150, 300)), at_ridge=c.rnd.random()),
    "set_labour": lambda c: _a(access=0.0 if c.seldom() else 0.5 + c.rnd.random()),
    "set_extra": lambda c: _a(
        "flag" if c.seldom() else c.rnd.choice(("gutter", "permit")),
        c.rnd.choice((None, c.feet(0, 50))),
    ),
    "remove_extra": lambda c: _a(c.rnd.choice(("gutter", "permit"))),
    "set_layers": lambda c: _a(
        Layers(underlayments=(FELT_15,)) if c.seldom() else Layers(pipe_patch=c.feet(0, 4))
    ),
    **MONEY,
}


def _keys(c: Chance) -> list[str]:
    """Some planes, or none for all."""
    return [c.key() for _ in range(c.rnd.randint(0, 2))]


def _always(layout: PanelLayout) -> Callable[[PanelLayout], PanelLayout]:
    return lambda _: layout


def _layout(c: Chance) -> PanelLayout:
    """Some way to lay panels."""
    start = c.rnd.choice(STARTS)
    return PanelLayout(start, c.feet(0, 2), c.rnd.random() < 0.5, c.rnd.random() < 0.5)


_ADD = {
    "new_section", "new_plane", "new_opening", "new_building", "new_underlay",
    "copy_part", "mirror_copy", "new_dormer", "place_start",
}  # fmt: skip
_TAKE = {"remove_part", "remove_building", "remove_underlay"}


@dataclass(frozen=True)
class Move:
    """One edit of the walk, with its arguments."""

    name: str
    edit: Edit
    arguments: Arguments

    def __call__(self, project: Project) -> Project:
        positional, named = self.arguments
        made = self.edit(project, *positional, **named)
        return made[0] if isinstance(made, tuple) else made


def next_move(
    rnd: random.Random,
    project: Project,
    edits: Mapping[str, Edit],
    untried: Collection[str] = (),
) -> Move:
    """Some edit of this project, more likely an untried one. Where it grows large, rather one
    that takes something away."""
    count = sum(len(b.part_ids()) for b in project.buildings)
    count = max(count, len(project.buildings), len(project.underlays))
    names = sorted(edits)
    if count >= MOST_PARTS:
        names = [n for n in names if n not in _ADD] + sorted(_TAKE & edits.keys()) * 3
    elif not project.sections():
        names = [*names, *["new_section"] * 20]
    if project.prices is None:
        names = [*names, *["set_prices"] * 10]
    fresh = sorted(set(untried) & set(names))
    name = rnd.choice(fresh if fresh and rnd.random() < 0.3 else names)
    return Move(name, edits[name], ARGUMENTS[name](Chance(rnd, project)))
