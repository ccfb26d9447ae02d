"""The crew's check list: what is done on the roof, in order, with this job's quantities.

Thresholds of safety rules are those of 29 CFR 1926 (named beside each); all else is common
practice. The list gives way to local rules, the maker's manual and licensed practice, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Final

from roofmodel.document import Units
from roofmodel.sheets.tables import shown
from roofmodel.sheets.trim_words import between_seams
from roofmodel.sheets.two_plans import goods_words
from roofmodel.sheets.types import Amount, RoofResults, Unit
from roofmodel.systems import EdgeKind
from roofmodel.takeoff import Laying, Quantity, TrimRun, start_words
from roofmodel.takeoff.formula import size
from roofmodel.takeoff.layers import PATCHES, STRIPS, strips_beside
from roofmodel.takeoff.trim_runs import trim_kind
from roofmodel.units import format_length, format_slope

STEEP: Final = 4.0 / 12.0
"""Steeper roofs want more against falls: 29 CFR 1926.501(b)(11)."""
STAGED: Final = 8.0 / 12.0
"""Steeper roofs want something to stand on: common practice."""

ENDING: Final = (
    "This list gives quantities and layout only. The adopted code with its amendments and the"
    " permit officer, the maker's published manual, safety law and licensed practice come before"
    " it. Wind, snow, framing, deck and fasteners are for the maker's tested listing and, where"
    " it is asked for, a licensed engineer."
)

_TEAR_OFF: Final = "Tear-off"
_DECK: Final = "Goods: deck"
_UNDERLAYMENT: Final = "Goods: underlayment"
_MEMBRANE: Final = "Goods: membrane"
_EACH_PLANE: Final = "Fasteners of each plane"
_EXTRAS: Final = "Extras"
_OLD_FASTENERS: Final = "Old fasteners pulled or driven flat"

_EAVES: Final = (EdgeKind.EAVE, EdgeKind.HIGH_EAVE)
_UNDER_PANELS: Final = (EdgeKind.UPHILL_SIDE, EdgeKind.PITCH_TRANSITION)
_TOPS: Final = (EdgeKind.RIDGE, EdgeKind.HIP)
_OPENINGS: Final = (EdgeKind.UPHILL_SIDE, EdgeKind.DOWNHILL_SIDE, EdgeKind.SIDE)
_WALLS: Final = (
    *(EdgeKind.HEADWALL, EdgeKind.SIDEWALL, EdgeKind.PITCH_TRANSITION, EdgeKind.DECK_EDGE),
    *_OPENINGS,
)


@dataclass(frozen=True, slots=True)
class CheckStep:
    """One step of the work; each point gets a box to tick."""

    title: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckList:
    """Cautions first, the steps in the order of the work, and what comes before this list."""

    cautions: tuple[str, ...]
    steps: tuple[CheckStep, ...]
    ending: str = ENDING


def crew_checklist(results: RoofResults, blanks: int = 0) -> CheckList:
    """The list for a job; steps that it does not need are left out. `blanks` is how many pieces
    of trim the shop makes, where that is known."""
    one = _Job(results, blanks)
    steps = (
        ("Before anyone goes up", one.before()),
        ("Goods on site", one.goods()),
        (one.old_title, one.old_roof()),
        ("Old fasteners", one.old_fasteners()),
        ("Deck", one.deck()),
        ("Underlayment", one.underlayment()),
        ("Membrane", one.membrane()),
        ("Eave trim", one.trim(_EAVES, "Eave trim straight to a line, laps away from the wind.")),
        ("Valleys", one.valleys()),
        ("Panels", one.panels()),
        ("Rakes", one.trim((EdgeKind.RAKE,), "Rake trim over the panels' edges, fastened.")),
        ("Walls, openings and pitch transitions", one.walls()),
        ("Ridge vent", one.ridge_vent()),
        ("Ridges and hips", one.ridges()),
        ("Ends closed", one.ends()),
        ("Before leaving", one.leaving()),
    )
    made = [CheckStep(title, tuple(points)) for title, points in steps]
    return CheckList(tuple(_cautions(one)), tuple(s for s in made if s.points))


class _Job:
    def __init__(self, results: RoofResults, blanks: int) -> None:
        self.results, self.take_off, self.blanks = results, results.take_off, blanks
        self.project = results.project
        self.units: Units = results.project.units
        layings = {x.plane for x in results.take_off.layings if x.panels}
        self.planes = [p for p in results.surface.planes if p.id in layings]

    @property
    def over(self) -> str:
        """What is done with the old roof."""
        return self.project.work.old_roof.over

    @property
    def old_title(self) -> str:
        return "Re-cover on battens" if self.over == "re-cover" else "Tear-off"

    def before(self) -> Iterator[str]:
        yield "Everyone has read the cautions above; anchors, ladders and warning lines are set."
        yield "Weather: dry, no frost, and wind that lets sheets be carried, until the day's end."
        yield "Field sheet filled in: lengths and pitches confirmed before anything is cut."
        for check in self.take_off.checks:
            if not check.passed:
                yield f"To settle first: {check.sentence}"

    def goods(self) -> Iterator[str]:
        if self.take_off.panels:
            length = math.fsum(p.length for p in self.take_off.panels)
            yield (
                f"Panels: {len(self.take_off.panels)}, together {self._length(length)};"
                " counted, unharmed, each with its mark."
            )
        if self.take_off.cutting_plans:
            bars = sum(len(p.bars) for p in self.take_off.cutting_plans)
            yield goods_words(self.blanks or sum(t.pieces for t in self.take_off.trim), bars)
        for q in self.take_off.quantities:
            if q.packs and q.group != _EXTRAS:
                yield self._amount(q)

    def old_roof(self) -> Iterator[str]:
        if self.over == "new deck":
            return
        for q in self._of(_TEAR_OFF):
            if q.item != _OLD_FASTENERS:
                yield self._amount(q)
        old = self.project.work.old_roof
        if self.over == "tear-off":
            felt = "1 layer" if old.felts == 1 else f"{old.felts} layers"
            also = f" and {felt} of felt" if old.felts else ""
            yield f"{old.covering.capitalize()}{also} off, load by load."
            yield "No more opened than can be covered and dry by the evening."
            return
        yield "The old roof lies tight and dry, and local rules allow one more layer over it."
        for q in self._of(_DECK):
            if "atten" in q.item and not q.item.startswith("Battens on"):
                yield self._amount(q)
        yield "Battens level, straight and screwed into the framing, not only into the old deck."

    def old_fasteners(self) -> Iterator[str]:
        if self.over == "tear-off":
            for q in self._of(_TEAR_OFF):
                if q.item == _OLD_FASTENERS:
                    yield f"Pulled or driven flat: {self._shown(q)}."
            yield "A hand has gone over the whole deck: nothing stands up that could cut a layer."
        elif self.over == "re-cover":
            yield "Loose and standing fasteners of the old roof driven flat."

    def deck(self) -> Iterator[str]:
        if self.over == "re-cover":
            return
        yield "Walked, and looked at from below where that can be; soft or split sheets marked."
        for q in self._of(_DECK):
            if "atten" not in q.item:
                yield f"Mended; allowed for: {self._amount(q)}"
        yield "Gaps between sheets as their maker says; edges even; swept clean."

    def underlayment(self) -> Iterator[str]:
        for q in self._of(_UNDERLAYMENT):
            if q.packs:
                roll = next((r for r in self.project.layers.underlayments if r.key == q.key), None)
                yield f"{q.item}: {self._shown(q)} laid level from the eaves up."
                if roll is not None:
                    yield (
                        f"Head laps {self._length(roll.head_lap)}, end laps"
                        f" {self._length(roll.end_lap)}, over hips and ridges as counted."
                    )

    def membrane(self) -> Iterator[str]:
        found = self._of(_MEMBRANE)
        for q in found:
            if not q.packs and not q.item.startswith("Ice barrier up"):
                yield self._laid_membrane(q)
        if found:
            yield "Pressed on without folds, on a clean and dry deck, upper laps over lower ones."

    def _laid_membrane(self, q: Quantity) -> str:
        """The run of strips as they are laid, not what they take of the roll; else the roll."""
        layers = self.project.layers
        edges = [e for e in self.results.surface.edges if e.id in set(q.edges)]
        kinds = {trim_kind(e) for e in edges}
        strip = layers.strips.get(kinds.pop()) if len(kinds) == 1 else None
        if strip is not None and q.item.startswith(STRIPS):
            run = q.quantity * strips_beside(layers.membrane, strip)
            return f"{q.item}: {self._length(run)} in strips {self._across(strip.width)} wide."
        if q.item == PATCHES:
            patch = layers.pipe_patch
            return f"{q.item}: {round(q.quantity / patch)} of {self._across(patch)}."
        width = self._across(layers.membrane.width)
        more = f"; {q.note}" if q.note else ""
        return f"{q.item}: {self._shown(q)} of the roll {width} wide{more}."

    def _across(self, mm: float) -> str:
        return size(mm, self.units)

    def trim(self, kinds: Collection[EdgeKind], then: str) -> Iterator[str]:
        found = list(self._trim(kinds))
        if found:
            yield from found
            yield then

    def valleys(self) -> Iterator[str]:
        yield from self.trim(
            (EdgeKind.VALLEY,),
            "Valley metal from the lowest end up, laps sealed, no fastener near its middle.",
        )

    def panels(self) -> Iterator[str]:
        if not self.take_off.panels:
            return
        yield from self._closures("inside closure")
        runs = [r for r in self.take_off.trim if r.kind in _UNDER_PANELS and r.plane is None]
        if names := dict.fromkeys(f"{r.part} on {r.edge_name}" for r in runs):
            yield f"In place before the panels above them are laid: {'; '.join(names)}."
        yield "On each plane: a line square to the eave, checked as its layout sheet says."
        each: dict[object, list[str]] = {}
        for q in self._of(_EACH_PLANE):
            item = q.item.rpartition(" on ")[0].lower()
            each.setdefault(q.planes[0], []).append(f"{item} {self._shown(q)}")
        for laying in self.take_off.layings:
            if laying.panels:
                yield self._laid(laying, each.get(laying.plane, []))
        if {s.panel.fastening for s in self.project.systems()} == {"face"}:
            yield "Screws square to the sheet, washers pressed but not squeezed out."
        yield "Every fifth panel measured against the running dimensions of its layout sheet."

    def walls(self) -> Iterator[str]:
        yield from self.trim(
            _WALLS, "Upper flashing over lower; sealed behind it; openings from the low side up."
        )
        for q in self.take_off.quantities:
            if q.key == "pipe boot":
                yield self._amount(q)

    def ridge_vent(self) -> Iterator[str]:
        for q in self.take_off.quantities:
            if q.key == "vent strip roll":
                yield self._amount(q)
                yield "Slot in the deck open, as wide as the strip's maker says; strip unbroken."

    def ridges(self) -> Iterator[str]:
        yield from self._closures("outside closure")
        kinds = {r.kind for r in self.take_off.trim}
        first = "Hips before ridges, caps" if kinds.issuperset(_TOPS) else "Caps"
        yield from self.trim(_TOPS, f"{first} lapped away from the wind that brings rain.")

    def _closures(self, key: str) -> Iterator[str]:
        for q in self.take_off.quantities:
            if q.key == key:
                yield f"{self._amount(q)} Set in tape before what covers them."

    def ends(self) -> Iterator[str]:
        if self.take_off.panels:
            ways = {s.panel.fastening for s in self.project.systems()}
            ribs = "ribs" if ways == {"face"} else "seams" if len(ways) == 1 else "ribs, seams"
            ends = f"Ends of {ribs}, ridges and hips closed"
            yield f"{ends}; no gap that lets in birds or driven rain."

    def leaving(self) -> Iterator[str]:
        yield (
            "Swarf and screws swept off the metal and out of gutters; the ground gone over with a"
            " magnet."
        )
        yield "Scratches touched up; film off; what stays over counted and taken along."
        yield "Pictures taken of valleys, walls, openings and ridge; this list signed."

    def _laid(self, laying: Laying, fasteners: list[str]) -> str:
        said = (
            f"{laying.plane_name}: {len(laying.panels)} panels, {start_words(laying, self.units)}"
        )
        return f"{'; '.join([said, *fasteners])}."

    def _trim(self, kinds: Collection[EdgeKind]) -> Iterator[str]:
        parts: dict[str, list[TrimRun]] = {}
        runs = [r for r in self.take_off.trim if r.kind in kinds]
        # cleats and closures first, which trim hooks on; those in valleys lie on the pan
        for run in sorted(runs, key=lambda r: r.fold != 0.0 or r.kind is EdgeKind.VALLEY):
            parts.setdefault(run.part, []).append(run)
        for part, runs in parts.items():
            length = self._length(math.fsum(r.length for r in runs))
            pieces = sum(r.pieces for r in runs)
            where = runs[0].edge_name if len(runs) == 1 else f"{len(runs)} runs"
            most = max(r.lap for r in runs)
            laps = f", laps {self._length(most)}" if pieces > 1 and most > 0.0 else ""
            fitted = between_seams(runs, self.project)
            seams = f", {fitted}" if fitted else ""
            yield (
                f"{part[:1].upper()}{part[1:]} on {where}: {length} in {pieces}"
                f" {'piece' if pieces == 1 else 'pieces'}{laps}{seams}."
            )

    def _of(self, group: str) -> list[Quantity]:
        return [q for q in self.take_off.quantities if q.group == group]

    def _amount(self, q: Quantity) -> str:
        packs = f"; {q.packs} × {q.pack}" if q.packs else ""
        return f"{q.item}: {self._shown(q)}{packs}."

    def _shown(self, q: Quantity) -> str:
        unit: Unit = q.unit  # type: ignore[assignment]
        return shown(Amount(q.quantity, unit), self.units)

    def _length(self, mm: float) -> str:
        return format_length(mm, self.units)


def _cautions(job: _Job) -> Iterator[str]:
    feet = job.units.system == "feet"
    yield (
        f"Falls: at {'6 ft' if feet else '1.8 m'} or more above what lies below, every open side"
        " or edge wants protection (29 CFR 1926.501)."
    )
    steepest = max(job.planes, key=lambda p: p.slope, default=None)
    if steepest is not None:
        pitch = f"{steepest.name}, {format_slope(steepest.slope)}"
        if steepest.slope > STAGED:
            yield (
                f"The steepest plane is {pitch}: guardrails with toeboards, nets or personal"
                " arrest (1926.501(b)(11)), and roof jacks or staging to stand on."
            )
        elif steepest.slope > STEEP:
            yield (
                f"The steepest plane is {pitch}, above 4/12: guardrails with toeboards, nets or"
                " personal arrest (1926.501(b)(11))."
            )
        else:
            yield (
                f"The steepest plane is {pitch}: guardrails, nets, personal arrest, or a warning"
                " line together with one of them or with a monitor (1926.501(b)(10))."
            )
    yield (
        f"Ladders: rails {'3 ft' if feet else '0.9 m'} above the landing, tied, on firm ground"
        " (1926.1053(b)(1)); clear of overhead power lines, and long sheets with them."
    )
    yield "Sheets cut: gloves and sleeves that resist cuts, and eye protection at every cut."
    yield "No sheet lies loose in wind. Metal is slippery when wet, frosted or dusty."
    yield "Nobody walks on panels that are not fastened, nor below where sheets are lifted."
    if job.over != "new deck":
        yield (
            "Old roofing, cements and flashings may hold asbestos or lead: tested before they are"
            " touched."
        )
