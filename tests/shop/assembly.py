"""Flat blanks bent and put on the roof by a second road: from the blank's outline and bend lines
alone, arc by arc, and planes given by their equations. mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from roofmodel.shop.blanks import Blank
from tests.parts.fold_back import crossing, fold_back, point_at

Array = NDArray[np.float64]

Z = np.array([0.0, 0.0, 1.0])


def bent(blank: Blank, at: Sequence[float]) -> tuple[Array, Array]:
    """Where points across the blank lie in its section, on the colour side, and the corner that
    the colour sides of the first and last flats not in hems make; the first of them runs along
    +x."""
    metal = blank.profile.metal
    bends = [
        (b.start[0], b.angle if b.direction == "up" else -b.angle, b.inside_radius)
        for b in blank.bends
        if b.start[0] == b.end[0]  # along the run, not across an end
    ]
    flats, arcs = fold_back(bends, blank.girth, metal.thickness, metal.k_factor)
    half = metal.thickness / 2.0
    hems = [abs(angle) == 180.0 for _, angle, _ in sorted(bends)]
    legs = flats[1 if hems[0] else 0 : -1 if hems[-1] else None]
    points = np.array([point_at(s, flats, arcs, metal.thickness, half) for s in at])
    one, two = legs[0], legs[-1]
    corner = crossing(
        one.start + half * one.normal, one.way, two.start + half * two.normal, two.way
    )
    turn = np.array([one.way, one.normal]).T  # back to where the first leg runs along +x
    return points @ turn, corner @ turn


def on_roof(blank: Blank, points: Array, start: Array, end: Array, first_normal: Array) -> Array:
    """Points (x, y) of a blank in space: the run goes from `start` to `end`, whichever way has
    the plane of this upward normal on its left. (n, 3)."""
    along = (end - start) / np.linalg.norm(end - start)
    section, corner = bent(blank, points[:, 0].tolist())
    across = np.cross(along, first_normal)
    assert abs(first_normal @ along) < 1e-9
    x, y = (section - corner).T
    on = points[:, 1] + blank.begins
    return start + np.outer(x, across) + np.outer(y, first_normal) + np.outer(on, along)


def plane_normal(slope: float, downhill: tuple[float, float]) -> Array:
    """The upward normal of a plane that falls at `slope` towards `downhill` in plan."""
    n = np.array([slope * downhill[0], slope * downhill[1], 1.0])
    out: Array = n / np.linalg.norm(n)
    return out


def start_line(blank: Blank) -> Array:
    """The corners of its lower end, x rising."""
    return blank.outline[: _far_border(blank) + 1]


def end_line(blank: Blank) -> Array:
    """The corners of its upper end, x rising."""
    return blank.outline[_far_border(blank) + 1 :][::-1]


def _far_border(blank: Blank) -> int:
    """The number of the first corner on its second border."""
    return int(np.flatnonzero(blank.outline[:, 0] > blank.girth - 1e-9)[0])


def farthest(points: Array, line: Array) -> float:
    """The greatest distance of points (n, 3) from a polyline (m, 3)."""
    a, d = line[:-1], np.diff(line, axis=0)
    t = np.clip(
        np.einsum("nmk,mk->nm", points[:, None] - a, d) / np.maximum((d**2).sum(1), 1e-12), 0, 1
    )
    off = np.linalg.norm(points[:, None] - a - t[..., None] * d, axis=2)
    return float(off.min(axis=1).max())
