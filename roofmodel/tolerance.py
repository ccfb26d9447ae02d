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

SAME_POINT_MM: Final = 1e-3
"""Corners of finished planes closer than this are one corner; slivers below it are healed."""

LEVEL_SLOPE: Final = 0.25 / 12.0
"""An edge that rises less than 1/4 in per foot is level: traced houses are never exact."""

ALONG_SLOPE_DEG: Final = 5.0
"""An edge within this plan angle of a plane's slope runs along the slope."""

FLOW_SINE: Final = math.sin(math.radians(0.5))
"""Water that meets a line at less than this angle in plan neither crosses nor leaves it."""

COUNT_EPS: Final = 1e-9
"""Guard of every ceiling: 30.0000000001 panels are 30."""
