"""Every piece of a job as it is released, and the bundles that its panels are shipped in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import msgspec

from roofmodel.document import Project
from roofmodel.document.releases import ReleasedPiece, ShopRules
from roofmodel.shop.job import ShopJob
from roofmodel.shop.marks import blank_piece
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
    drawings = {b: d.name for d in job.trim for b in d.blanks}
    for piece in (
        *(_panel(shape, job.project) for shape in job.shapes),
        *(blank_piece(b, drawings[b]) for b in job.blanks.blanks),
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

    def is_over(self, lift: float) -> bool:
        """Does it weigh more than may be lifted, kg? Only a panel alone does."""
        return self.weight > lift * (1.0 + COUNT_EPS)


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
    start = 0
    for k, weight in enumerate(weights):
        if weight > rules.lift_weight * (1.0 + COUNT_EPS):
            yield from _lifts(weights, range(start, k), rules.lift_weight)
            yield range(k, k + 1)
            start = k + 1
    yield from _lifts(weights, range(start, len(weights)), rules.lift_weight)


def _lifts(weights: Sequence[float], part: range, most: float) -> Iterator[range]:
    """Neighbours that can all be lifted alone, shared out."""
    if not part:
        return
    some = [weights[k] for k in part]
    fewest = _count(some, most)
    low, high = max(some), most
    for _ in range(40):
        middle = (low + high) / 2.0
        if _count(some, middle) <= fewest:
            high = middle
        else:
            low = middle
    start, total = part.start, 0.0
    for k in part:
        if k > start and total + weights[k] > high * (1.0 + COUNT_EPS):
            yield range(start, k)
            start, total = k, 0.0
        total += weights[k]
    yield range(start, part.stop)


def _count(weights: Sequence[float], most: float) -> int:
    """How many bundles neighbours take, filled one after another."""
    count, total = 1, 0.0
    for weight in weights:
        if total > 0.0 and total + weight > most * (1.0 + COUNT_EPS):
            count, total = count + 1, 0.0
        total += weight
    return count
