"""What the goods below the metal, the tear-off and the checks are counted from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from roofmodel.document import Project
from roofmodel.surface import EdgeId, Plane, PlaneId, RoofEdge, Surface
from roofmodel.systems import RoofingSystem
from roofmodel.systems.layer_parts import Roll
from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.formula import fine_enough, labelled, length, rounded_up, size, sum_of
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.types import Laying, Quantity
from roofmodel.takeoff.wall_lines import Walls, walls_of
from roofmodel.tolerance import COUNT_EPS
from roofmodel.units import LengthUnits, format_length


@dataclass(frozen=True)
class Site:
    """A job: `cases` are the sloping planes that its systems cover, `edges` those in the job."""

    project: Project
    surface: Surface
    coverings: Coverings
    cases: Mapping[PlaneId, Case]
    edges: Sequence[RoofEdge]
    layings: Sequence[Laying]

    @property
    def units(self) -> LengthUnits:
        """How lengths are shown."""
        return self.project.units

    @cached_property
    def covered(self) -> tuple[Plane, ...]:
        """All planes that a system covers: decks and saddles as well."""
        own = self.coverings
        return tuple(p for p in self.surface.planes if own.system_of(p) is not None)

    @cached_property
    def systems(self) -> tuple[RoofingSystem, ...]:
        """The systems in use."""
        used = {self.coverings.planes[p.id].covering for p in self.covered}
        return tuple(s for s in self.project.systems() if s.id in used)

    @cached_property
    def covered_edges(self) -> tuple[RoofEdge, ...]:
        """The edges that count with a system."""
        own = self.coverings
        return tuple(e for e in self.edges if own.edges[e.id].covering in own.systems)

    def is_under_membrane(self, plane: PlaneId) -> bool:
        """Does a sloping plane take membrane all over?"""
        work, least = self.project.work, self.project.layers.low_slope
        return work.membrane_on_low and self.cases[plane].plane.slope < least - COUNT_EPS

    @cached_property
    def walls(self) -> dict[str, Walls]:
        """The walls of each part, by its id."""
        return walls_of(self.project)


def summed(named: Iterable[tuple[float, str]], units: LengthUnits) -> str:
    """A sum of lengths (mm) with what each belongs to."""
    return sum_of(labelled(format_length(mm, units), words) for mm, words in named)


def rolls_for(total: float, roll: Roll) -> int:
    """Rolls for so much laid length (mm): a roll that ends within a course is lapped by the next,
    what is cut off at a course's end begins another course.

    >>> rolls_for(97536.0, Roll("felt", 914.4, 21945.6, 50.8, 152.4))
    5
    """
    if total <= roll.end_lap:
        return 1 if total > 0.0 else 0
    return rounded_up((total - roll.end_lap) / (roll.length - roll.end_lap))


def bought_in_rolls(
    line: tuple[str, str, float, str, str],
    roll: Roll,
    ids: tuple[tuple[PlaneId, ...], tuple[EdgeId, ...]],
    note: str,
    units: LengthUnits,
) -> Quantity:
    """A line (group, item, laid length in mm, formula, source) with its rolls."""
    group, item, total, how, source = line
    packs = rolls_for(total, roll)
    whole, lap = size(roll.length, units), labelled(size(roll.end_lap, units), "end lap")

    def written(finer: int) -> tuple[str, float]:
        text, value = length(total, units, finer)
        laid = labelled(text, "laid")
        if total <= roll.end_lap:
            return f"{laid} ÷ {whole} rounded up", rounded_up(value / roll.length)
        count = rounded_up((value - roll.end_lap) / (roll.length - roll.end_lap))
        return f"({laid} − {lap}) ÷ ({labelled(whole, 'roll')} − {lap}) rounded up", count

    pack = f"roll, {size(roll.width, units)} by {format_length(roll.length, units)}"
    return Quantity(
        *(group, item, "mm", total, how, source, *ids),
        note=note,
        key=roll.key,
        packs=packs,
        pack=pack,
        pack_how=fine_enough(written, packs),
    )


def bought_in_lengths(
    line: tuple[str, str, float, str, str],
    stock: float,
    key: str,
    ids: tuple[tuple[PlaneId, ...], tuple[EdgeId, ...]],
    note: str,
    units: LengthUnits,
) -> Quantity:
    """A line (group, item, length in mm, formula, source) with the stock lengths (mm) it takes,
    laid end to end; by the length itself where `stock` is 0."""
    group, item, total, how, source = line
    if stock <= 0.0:
        return Quantity(*(group, item, "mm", total, how, source, *ids), note=note, key=key)
    packs = rounded_up(total / stock)

    def written(finer: int) -> tuple[str, float]:
        text, value = length(total, units, finer)
        return f"{text} ÷ {size(stock, units)} rounded up", rounded_up(value / stock)

    return Quantity(
        *(group, item, "mm", total, how, source, *ids),
        note=note,
        key=key,
        packs=packs,
        pack=f"length of {format_length(stock, units)}",
        pack_how=fine_enough(written, packs),
    )
