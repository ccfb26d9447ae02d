"""Every tolerance of the model, named, with its reason. Lengths in millimetres, angles as said."""

from __future__ import annotations

import math
from typing import Final

MERGE_REL: Final = 1e-9
"""Two points closer than this share of the outline's size are one point for the solver: a
thousand times the rounding of doubles at that size, far below any fraction of an inch."""

PARALLEL_RAD: Final = 1e-8
"""Fronts whose directions differ by less count as parallel: over a stadium they part by a
thousandth of a millimetre."""

EVENT_REL: Final = 1e-12
"""Events of the wavefront closer in height than this share of the size happen together."""

COPLANAR_MM: Final = 1e-3
"""Two planes that part by less than this over their common edge are one plane."""

HEAL_MM: Final = 1.0
"""Corners of a finished roof closer than this are one corner: no one can measure or cut less."""

NODING_MM: Final = 1e-6
"""Grid to which the points of a composed roof are rounded, so that three lines through one point
meet in one point: a billionth of a house."""

GAP_MM: Final = 304.8
"""Overhangs that pass each other closer than 12 in are reported: nobody can work between."""

NEAR_DEG: Final = 2.0
NEAR_PLAN_MM: Final = 76.2
NEAR_HEIGHT_MM: Final = 25.4
"""Edges within 2 degrees, 3 in in plan, 1 in in height of agreeing were meant to agree."""

SAME_POINT_MM: Final = 1e-3
"""A corner of a plane this close to the line through its neighbours does not bend it."""

LEVEL_SLOPE: Final = 0.25 / 12.0
"""An edge that rises less than 1/4 in per foot is level: traced houses are never exact."""

ALONG_SLOPE_SINE: Final = math.sin(math.radians(5.0))
"""An edge within 5 degrees in plan of a plane's slope runs along the slope: water follows it and
neither crosses nor leaves it. Traced gables are out of square by that much."""

STRAIGHT_SINE: Final = math.sin(math.radians(5.0))
"""Neighbouring edges that turn less than this count as one straight run for their overhang."""

SAME_FOLD_DEG: Final = 0.5
"""Trim bent to angles this close is one part."""

SAME_BEND_DEG: Final = 5.0
"""An offcut of trim serves where the bend differs by up to this much: hands open or close it that
far. Common practice, no source."""

LOST_SHARE: Final = 1e-4
"""A section whose planes cover its outline but for more than this share, and what healing by a
millimetre along its outline may lose, is not trusted."""

COUNT_EPS: Final = 1e-9
"""Guard of every ceiling: 30.0000000001 panels are 30."""
