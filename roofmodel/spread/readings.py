"""What could be measured on the house: lengths of outline edges, and pitches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from roofmodel.document import Project
from roofmodel.document.sureness import Reading
from roofmodel.document.sureness_edits import SAME_SLOPE
from roofmodel.spread.inputs import Input, moved, side_lengths
from roofmodel.surface.types import Array
from roofmodel.units import LengthUnits, format_length, format_slope

TAPE_MM: Final = 12.7
"""A tape on a roof is read to half an inch: common practice, no source."""
LEVEL_SLOPE: Final = 0.1 / 12.0
"""A pitch is read to a tenth of an inch in twelve: common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Measurement:
    """Something to measure: a length (mm) of outline edge `edge` of a part, or a pitch (rise over
    run; `edge` is empty). `value` is what the model has; `gradient` (one per input) how it
    changes with each input; `error` how exactly it can be read."""

    part: str
    edge: str
    name: str
    value: float
    error: float
    gradient: Array

    def words(self, units: LengthUnits) -> str:
        """Its value as words."""
        return format_length(self.value, units) if self.edge else format_slope(self.value)


def measurements_of(project: Project, inputs: tuple[Input, ...]) -> list[Measurement]:
    """Every length and pitch that depends on what may be off."""
    out = []
    for section in project.sections():
        lengths = side_lengths(project, section.id)
        change = {place: np.zeros(len(inputs)) for place in lengths}
        for k, one in enumerate(inputs):
            if one.part != section.id or one.is_pitch:
                continue
            off = moved(project, one, 1.0)
            if off is not None:
                for place, length in side_lengths(off, section.id).items():
                    change[place][k] = length - lengths[place]
        for (ring, side), length in lengths.items():
            gradient = change[ring, side]
            if not np.abs(gradient).max(initial=0.0) > 1e-6:
                continue
            edge = section.rings[ring].edges[side]
            where = f"courtyard {ring}, " if ring else ""
            name = f"{section.name}, {where}edge {side + 1}, length"
            out.append(Measurement(section.id, edge.id, name, length, TAPE_MM, gradient))
    for k, one in enumerate(inputs):
        if one.is_pitch:
            gradient = np.zeros(len(inputs))
            gradient[k] = 1.0
            name = f"{one.part_name}, pitch {format_slope(one.slope)}"
            out.append(Measurement(one.part, "", name, one.slope, LEVEL_SLOPE, gradient))
    return out


def holds(reading: Reading, measurement: Measurement) -> bool:
    """Is this what was read, and does the model still have it so?"""
    if (reading.part, reading.edge) != (measurement.part, measurement.edge):
        return False
    slack = TAPE_MM if reading.edge else SAME_SLOPE
    return abs(reading.value - measurement.value) <= slack
