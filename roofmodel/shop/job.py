"""All that the shop makes for a job, worked out once and looked at from many sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from roofmodel.document import Project
from roofmodel.document.releases import Release
from roofmodel.parts import Folded, folded
from roofmodel.shop.blanks import Blank, Blanks, alike, blanks_of
from roofmodel.shop.layout import PlaneSheet, plane_sheets
from roofmodel.shop.marks import drawing_numbers, was_bent_otherwise
from roofmodel.shop.panel_shapes import PanelShape, alike_panels, panel_shapes
from roofmodel.shop.saddles import SaddleSheet, saddle_sheets
from roofmodel.shop.slitting import Slitting, slitting_of
from roofmodel.surface import Surface
from roofmodel.takeoff.types import TakeOff
from roofmodel.units import format_angle


@dataclass(frozen=True, slots=True, eq=False)
class TrimDrawing:
    """Blanks that are cut and bent alike. `name` is the part's, with a number where the job has
    several that differ; a released drawing keeps it (`roofmodel.shop.marks`)."""

    name: str
    blanks: tuple[Blank, ...]

    @property
    def blank(self) -> Blank:
        """One of them."""
        return self.blanks[0]

    @property
    def bent(self) -> Folded:
        """Its section."""
        return folded(self.blank.profile, self.blank.fold)

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.blanks)


@dataclass(frozen=True, slots=True, eq=False)
class TrimProfileDrawing:
    """Blanks that are bent to the same section. `name` is the part's, with its bend where the job
    has it bent in several ways, or was released bent in another."""

    name: str
    blanks: tuple[Blank, ...]

    @property
    def bent(self) -> Folded:
        """The section."""
        return folded(self.blanks[0].profile, self.blanks[0].fold)


@dataclass(frozen=True, eq=False)
class ShopJob:
    """A job for the shop. `revision` is 0 where what is drawn was not released, `changed_since`
    then the last one that was, if any; `date` is printed as it is given."""

    project: Project
    surface: Surface
    take_off: TakeOff
    revision: int = 0
    date: str = ""
    changed_since: int = 0

    def marked(self, revision: int, date: str, changed_since: int = 0) -> ShopJob:
        """The same with another revision and date, and with all that is worked out already."""
        out = replace(self, revision=revision, date=date, changed_since=changed_since)
        known = {k: v for k, v in vars(self).items() if k not in vars(out)}
        vars(out).update(known)
        return out

    @cached_property
    def shapes(self) -> tuple[PanelShape, ...]:
        """What every panel is cut to, in the take-off's order."""
        return panel_shapes(self.project, self.surface, self.take_off)

    @cached_property
    def shape_groups(self) -> list[list[PanelShape]]:
        """The same, those that are cut alike together."""
        return alike_panels(self.shapes)

    @cached_property
    def sheets(self) -> tuple[PlaneSheet, ...]:
        """The layout of every plane with panels."""
        return plane_sheets(self.project, self.surface, self.take_off, self.shapes)

    @cached_property
    def blanks(self) -> Blanks:
        """The blanks of all trim, and what could not be made."""
        return blanks_of(self.project, self.surface, self.take_off.trim)

    @cached_property
    def saddles(self) -> tuple[SaddleSheet, ...]:
        """The flat sheets of saddles behind openings."""
        return saddle_sheets(self.project, self.surface, self.take_off)

    @cached_property
    def trim(self) -> tuple[TrimDrawing, ...]:
        """The blanks that differ, part after part."""
        return _drawings(self.blanks.blanks, self.project.releases)

    @cached_property
    def slitting(self) -> Slitting:
        """How all blanks are slit from coil; saddles are no part of it."""
        some = [b for drawing in self.trim for b in drawing.blanks]
        return slitting_of(some, self.project.shop.trim_coils, self.project.units)

    @cached_property
    def profiles(self) -> tuple[TrimProfileDrawing, ...]:
        """The sections that differ, part after part."""
        return _profiles(self.blanks.blanks, self.project.releases)


def _drawings(blanks: Sequence[Blank], releases: Sequence[Release]) -> tuple[TrimDrawing, ...]:
    by_part: dict[str, list[tuple[Blank, ...]]] = {}
    for group in alike(blanks):
        by_part.setdefault(group[0].run.part, []).append(tuple(group))
    out: list[TrimDrawing] = []
    for part, groups in by_part.items():
        numbered = zip(drawing_numbers(part, groups, releases), groups, strict=True)
        ordered = sorted(numbered, key=lambda one: one[0])
        out += [TrimDrawing(name, some) for (_, name), some in ordered]
    return tuple(out)


def _profiles(
    blanks: Sequence[Blank], releases: Sequence[Release]
) -> tuple[TrimProfileDrawing, ...]:
    by_part: dict[str, dict[tuple[object, ...], list[Blank]]] = {}
    for blank in blanks:
        turns = tuple(round(a, 1) for a in blank.profile.angles_at(blank.fold))
        sections = by_part.setdefault(blank.run.part, {})
        sections.setdefault((blank.profile, turns), []).append(blank)
    out = []
    for part, sections in by_part.items():
        name = part[:1].upper() + part[1:]
        both_ways = len({some[0].fold < 0.0 for some in sections.values()}) > 1
        for some in sections.values():
            way = (" up" if some[0].fold < 0.0 else " down") if both_ways else ""
            # in the words of the cutting plan
            says_how = len(sections) > 1 or was_bent_otherwise(some[0], releases)
            bent = f" bent {format_angle(abs(some[0].fold))}{way}" if says_how else ""
            out.append(TrimProfileDrawing(name + bent, tuple(some)))
    return tuple(out)
