"""Every piece of a job as it is released, and the bundles that its panels are shipped in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import msgspec

from roofmodel.document import Project
from roofmodel.document.releases import ReleasedPiece, ShopRules
from roofmodel.shop.blanks import Blank
from roofmodel.shop.job import ShopJob
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.shop.saddles import SaddleSheet
from roofmodel.takeoff.openings import SADDLE_SHEET
from roofmodel.tolerance import COUNT_EPS

_TENTH: Final = 1
_HUNDREDTH: Final = 2


def released_pieces(job: ShopJob) -> tuple[ReleasedPiece, ...]:
    """All panels and blanks of a job, each with a mark of its own."""
    out: list[ReleasedPiece] = []
    used: dict[str, int] = {}
    for piece in (
        *(_panel(shape, job.project) for shape in job.shapes),
        *map(_trim, job.blanks.blanks),
        *map(_saddle, job.saddles),
    ):
        used[piece.mark] = used.get(piece.mark, 0) + 1
        count = used[piece.mark]
        mark = f"{piece.mark} ({count})" if count > 1 else piece.mark
        piece = msgspec.structs.replace(piece, mark=mark, colour=job.project.colour)
        out.append(piece)
    return tuple(out)


def _panel(shape: PanelShape, project: Project) -> ReleasedPiece:
    rings = (shape.outline, *shape.holes)
    system = next(s for s in project.systems() if s.id == shape.panel.system)
    return ReleasedPiece(
        "panel",
        shape.mark,
        shape.panel.system,
        round(shape.length, _HUNDREDTH),
        round(shape.sheet_width, _HUNDREDTH),
        tuple(round(v, _TENTH) + 0.0 for ring in rings for v in ring.ravel().tolist()),
        product=system.name,
        sheet=round(project.shop.sheet_weight, _HUNDREDTH + 2),
    )


def _trim(blank: Blank) -> ReleasedPiece:
    profile = blank.profile
    return ReleasedPiece(
        "trim",
        blank.name,
        blank.run.part,
        round(float(blank.outline[:, 1].max()), _HUNDREDTH),
        round(blank.girth, _HUNDREDTH),
        tuple(round(v, _TENTH) + 0.0 for v in blank.outline.ravel().tolist()),
        tuple(round(b.angle if b.direction == "up" else -b.angle, _TENTH) for b in blank.bends),
        gauge=profile.metal.gauge,
        thickness=round(profile.metal.thickness, _HUNDREDTH + 2),
        painted=profile.painted,
        hems="; ".join(
            f"{h.kind} {h.to} {h.width:.1f} {h.gap:.1f}" if h else "none"
            for h in (profile.start_hem, profile.end_hem)
        ),
    )


def _saddle(saddle: SaddleSheet) -> ReleasedPiece:
    return ReleasedPiece(
        "trim",
        saddle.name,
        SADDLE_SHEET,
        round(saddle.length, _HUNDREDTH),
        round(saddle.width, _HUNDREDTH),
        tuple(round(v, _TENTH) + 0.0 for _, ring in saddle.planes for v in ring.ravel().tolist()),
        tuple(round(-e.fold, _TENTH) + 0.0 for e in saddle.edges),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """Panels lifted together: those of one plane, in laying order. `number` counts in the job;
    `weight` kg."""

    number: int
    plane_name: str
    system: str
    shapes: tuple[PanelShape, ...]
    weight: float

    @property
    def longest(self) -> float:
        """Its length, mm."""
        return max(s.length for s in self.shapes)


def panel_weight(shape: PanelShape, project: Project) -> float:
    """What one panel weighs, kg: its cut length of coil."""
    system = next(s for s in project.systems() if s.id == shape.panel.system)
    rules = project.shop
    return shape.length * system.coverage * rules.formed * rules.sheet_weight / 1e6


def bundles_of(job: ShopJob) -> tuple[Bundle, ...]:
    """The panels of every plane in as few bundles as the lift allows, with much the same weight
    in each, in the order in which they are laid."""
    by_plane: dict[tuple[str, str], list[PanelShape]] = {}
    for shape in job.shapes:
        by_plane.setdefault((str(shape.panel.plane), shape.panel.plane_name), []).append(shape)
    out: list[Bundle] = []
    for (_, name), shapes in by_plane.items():
        weights = [panel_weight(s, job.project) for s in shapes]
        for part in _shares(weights, job.project.shop):
            some = tuple(shapes[k] for k in part)
            weight = math.fsum(weights[k] for k in part)
            out.append(Bundle(len(out) + 1, name, some[0].panel.system, some, weight))
    return tuple(out)


def _shares(weights: Sequence[float], rules: ShopRules) -> Iterator[range]:
    """Neighbours shared out: the fewest bundles, the heaviest as light as can be. A panel that is
    too heavy alone has a bundle of its own."""
    if not weights:
        return
    fewest = _count(weights, rules.lift_weight)
    low, high = max(weights), max(rules.lift_weight, max(weights))
    for _ in range(40):
        middle = (low + high) / 2.0
        if _count(weights, middle) <= fewest:
            high = middle
        else:
            low = middle
    start, total = 0, 0.0
    for k, weight in enumerate(weights):
        if k > start and total + weight > high * (1.0 + COUNT_EPS):
            yield range(start, k)
            start, total = k, 0.0
        total += weight
    yield range(start, len(weights))


def _count(weights: Sequence[float], most: float) -> int:
    """How many bundles neighbours take, filled one after another."""
    count, total = 1, 0.0
    for weight in weights:
        if total > 0.0 and total + weight > most * (1.0 + COUNT_EPS):
            count, total = count + 1, 0.0
        total += weight
    return count
