"""Low and high of the main quantities, by moving one thing at a time and building the roof again.

Each input is off by no more than its tolerance, anything between alike likely (variance tolerance²
÷ 3), each independent of the others. What a reading tells is taken in as for normal variables
(conditioning a multivariate normal on a linear measurement). Low and high lie 2½ standard
deviations off, and no further than all tolerances together can take them: 99 of 100 for a sum of
many, always for one input alone, as long as quantities change evenly with the inputs.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from roofmodel.document import NOT_IN_JOB, Project
from roofmodel.quoting import price_of
from roofmodel.results import Results, results_of
from roofmodel.spread.inputs import Input, inputs_of, moved
from roofmodel.spread.readings import Measurement, holds, measurements_of
from roofmodel.surface.types import Array

WIDE: Final = 2.5
"""Standard deviations to low and high."""
BEST: Final = 5
"""How many measurements are named."""
PRICE: Final = "Price"
AREA: Final = "Roof area"

Report = Callable[[int, int], None]
"""Told how many of how many roofs are built; it may raise to stop."""


@dataclass(frozen=True, slots=True)
class Range:
    """One quantity: as modelled, its low and its high. `unit` as in the take-off, "money" for
    the price."""

    name: str
    unit: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """Ranges of the main quantities, and the measurements that would narrow `target` most, each
    with the share (0 to 1) of its spread that they leave, taken one after the other."""

    ranges: tuple[Range, ...]
    target: str
    best: tuple[tuple[Measurement, float], ...]
    inputs: tuple[Input, ...]
    slopes: Array
    """Change of the target per unit of each input."""
    covariance: Array
    measurements: tuple[Measurement, ...]


def main_quantities(results: Results) -> dict[str, tuple[str, float]]:
    """Name -> (unit, value) of what an estimate stands on."""
    counted, roof = results.take_off, results.surface
    planes = [p for p in roof.planes if counted.coverings.get(p.id) not in (None, NOT_IN_JOB)]
    out = {AREA: ("mm²", sum(p.true_area for p in planes))}
    if counted.panels:
        out["Panel length"] = ("mm", sum(p.length for p in counted.panels))
        out["Panel metal"] = ("mm²", sum(p.gross_area for p in counted.panels))
    kinds: dict[str, float] = {}
    for e in roof.edges:
        if e.id in counted.edges:
            name = f"{e.kind.capitalize()}, all"
            kinds[name] = kinds.get(name, 0.0) + e.length
    out |= {name: ("mm", length) for name, length in sorted(kinds.items())}
    price = price_of(results)
    if price is not None and price.price > 0:
        out[PRICE] = ("money", float(price.price))
    return out


def spread_of(project: Project, report: Report | None = None) -> Spread:
    """Move every input both ways and see what changes. `report` is called after every roof."""
    inputs = inputs_of(project)
    count = 2 + 2 * len(inputs)
    done = itertools.count(1)

    def run(changed: Project | None) -> dict[str, tuple[str, float]]:
        found = {} if changed is None else main_quantities(results_of(changed, planner=None))
        if report is not None:
            report(next(done), count)
        return found

    # as the job shows it, with exact cutting plans; and as the moved roofs are counted
    exact = main_quantities(results_of(project))
    if report is not None:
        report(next(done), count)
    nominal = run(project)
    slopes = {name: np.zeros(len(inputs)) for name in nominal}
    reach = {name: np.zeros(len(inputs)) for name in nominal}
    for k, one in enumerate(inputs):
        low, high = (run(moved(project, one, by)) for by in (-one.tolerance, one.tolerance))
        for name, (_, value) in nominal.items():
            # where a kind of edge is gone it has no length; where no roof came out, no change
            down = low.get(name, ("", 0.0))[1] - value if low else 0.0
            up = high.get(name, ("", 0.0))[1] - value if high else 0.0
            both = 2.0 if low and high else 1.0
            slopes[name][k] = (up - down) / (both * one.tolerance)
            reach[name][k] = max(abs(up), abs(down))
    measurements = measurements_of(project, inputs)
    covariance = np.diag([one.tolerance**2 / 3.0 for one in inputs])
    for reading in project.readings:
        for m in measurements:
            if holds(reading, m):
                covariance = conditioned(covariance, m)
    tolerances = np.array([one.tolerance for one in inputs])
    ranges = []
    for name, (unit, value) in exact.items():
        # as steep as the steeper of both ways, so that a ridge that vanishes is not overlooked
        steep = (
            np.copysign(reach[name] / tolerances, slopes[name]) if len(inputs) else slopes[name]
        )
        off = min(WIDE * _deviation(steep, covariance), float(reach[name].sum()))
        ranges.append(Range(name, unit, value, max(value - off, 0.0), value + off))
    target = PRICE if PRICE in nominal else AREA
    best = narrowing(slopes[target], covariance, measurements)
    return Spread(
        tuple(ranges), target, best, inputs, slopes[target], covariance, tuple(measurements)
    )


def conditioned(covariance: Array, m: Measurement) -> Array:
    """Covariance of the inputs once something is measured, with its error."""
    along = covariance @ m.gradient
    seen = float(m.gradient @ along) + m.error**2 / 3.0
    out: Array = covariance - np.outer(along, along) / seen
    return out


def _deviation(slopes: Array, covariance: Array) -> float:
    return math.sqrt(max(float(slopes @ covariance @ slopes), 0.0)) if len(slopes) else 0.0


def left_after(slopes: Array, covariance: Array, some: Iterable[Measurement]) -> float:
    """Standard deviation that some measurements leave."""
    for m in some:
        covariance = conditioned(covariance, m)
    return _deviation(slopes, covariance)


def narrowing(
    slopes: Array, covariance: Array, measurements: Sequence[Measurement]
) -> tuple[tuple[Measurement, float], ...]:
    """The measurements that narrow a quantity most: each time the one that helps most, then any
    of them changed for another while that helps; with the share of the spread that is left."""
    whole = _deviation(slopes, covariance)
    if whole == 0.0:
        return ()
    chosen: list[Measurement] = []
    for _ in range(min(BEST, len(measurements))):
        rest = [m for m in measurements if m not in chosen]
        chosen.append(min(rest, key=lambda m: left_after(slopes, covariance, [*chosen, m])))
    for _ in range(BEST):
        if not _swapped(chosen, slopes, covariance, measurements):
            break
    ordered: list[Measurement] = []
    out = []
    while chosen:
        best = min(chosen, key=lambda m: left_after(slopes, covariance, [*ordered, m]))
        chosen.remove(best)
        ordered.append(best)
        out.append((best, left_after(slopes, covariance, ordered) / whole))
    return tuple(out)


def _swapped(
    chosen: list[Measurement], slopes: Array, covariance: Array, all_: Sequence[Measurement]
) -> bool:
    """Change one of the chosen for another if that leaves less; was one changed?"""
    least = left_after(slopes, covariance, chosen)
    for k in range(len(chosen)):
        for m in all_:
            if m in chosen:
                continue
            left = left_after(slopes, covariance, [*chosen[:k], m, *chosen[k + 1 :]])
            if left < least * (1.0 - 1e-9):
                chosen[k] = m
                return True
    return False
