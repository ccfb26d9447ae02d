"""Scale and turn from measurements, by least squares.

Vocabulary
----------
span
    How far two points of a picture lie apart, in the picture's own units (pixels).
residual
    How far a measured length is missed: what the fit gives less what was measured.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


class ScaleFit(NamedTuple):
    """`scale` (length per unit of span) and `residuals` ((n,) float, in the unit of lengths)."""

    scale: float
    residuals: NDArray[np.float64]

    @property
    def worst(self) -> float:
        """The largest residual, without its sign."""
        return float(np.max(np.abs(self.residuals)))


def fit_scale(spans: ArrayLike, lengths: ArrayLike) -> ScaleFit:
    """The one scale that fits known lengths best: the sum of squared residuals is least.

    spans: (n,) float, more than 0; lengths: (n,) float, more than 0; n at least 1. From
    d/dk sum (k s - l)^2 = 0 follows k = sum(s l) / sum(s^2): long spans weigh more, as they
    should, for a point is clicked equally well at either end of any.

    >>> fit = fit_scale([100.0, 200.0], [1010.0, 1995.0])
    >>> round(fit.scale, 3), fit.residuals.round(3).tolist(), round(fit.worst, 3)
    (10.0, [-10.0, 5.0], 10.0)
    """
    s, known = np.asarray(spans, float), np.asarray(lengths, float)
    if s.ndim != 1 or s.shape != known.shape or not len(s):
        raise ValueError("as many spans as lengths, and at least one")
    if not (np.isfinite(s).all() and np.isfinite(known).all() and min(s.min(), known.min()) > 0):
        raise ValueError("spans and lengths must be more than 0")
    # Scaled down first: pixels times millimetres squared may be large, never infinite.
    unit = float(s.max())
    scale = float((s / unit) @ known / ((s / unit) @ (s / unit))) / unit
    return ScaleFit(scale, scale * s - known)


def square_turn(edges: ArrayLike) -> float:
    """The smallest turn, degrees counter-clockwise, that makes edges level or upright.

    edges: (n, 2, 2) float, two points each. One edge comes out exact; of several the mean is
    taken of four times their directions, as unit vectors (so that level and upright edges agree)
    weighted by length. The result lies in (-45, 45]; edges without length are passed over.

    >>> square_turn([[(0, 0), (0, 5)]]), round(square_turn([[(0, 0), (10, 1)]]), 3)
    (0.0, -5.711)
    """
    points = np.asarray(edges, float).reshape(-1, 2, 2)
    along = points[:, 1] - points[:, 0]
    length = np.hypot(along[:, 0], along[:, 1])
    if not np.isfinite(length).all() or not length.any():
        raise ValueError("at least one edge with a length")
    # Folded first to within 45 degrees of level, so that what is square already stays exactly so.
    steep = np.abs(along[:, 1]) > np.abs(along[:, 0])
    flat = np.where(steep[:, None], along[:, ::-1] * [1.0, -1.0], along)
    four = 4.0 * np.arctan2(flat[:, 1] * np.sign(flat[:, 0]), np.abs(flat[:, 0]))
    share = length / length.max()
    mean = math.atan2(float(share @ np.sin(four)), float(share @ np.cos(four)))
    turn = -math.degrees(mean) / 4.0
    return 45.0 if turn <= -45.0 else turn + 0.0
