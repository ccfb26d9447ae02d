"""The moving wavefront: fronts, the corners between them, and when they will meet.

Fronts and corners live in growing lists and are named by index. A front's line at height h is
``normal · x = d0 + speed * h``; a corner runs on the lines of its two fronts. The same numbers
stand in two numpy tables, so that one corner is tested against all fronts (and one front against
all reflex corners) at once.
"""

from __future__ import annotations

import math

import numpy as np

from roofmodel.skeleton.outline import Prepared
from roofmodel.skeleton.types import WALL
from roofmodel.tolerance import MERGE_REL, PARALLEL_RAD

# columns of the table of fronts
_NX, _NY, _D0, _S, _L0, _L1, _R0, _R1, _NL, _NR, _ON = range(11)
# columns of the table of reflex corners
_X, _Y, _U, _V, _NODE, _BEST = range(6)

_CELLS = 200_000
"""Corners times fronts tested in one go: what fits the processor's cache."""
_LATEST = 1e200
"""Stands for "never" where it is multiplied: 0 times infinity is no number."""
_FEW = 12
_SLOW = 1e-9
"""Relative speed below which a corner does not approach a front: rounding, not motion."""


class Front:
    """A straight piece of the wavefront, from corner `left` to corner `right`."""

    __slots__ = (
        "alive",
        "d0",
        "edge",
        "face",
        "left",
        "nx",
        "ny",
        "right",
        "speed",
        "stage",
        "stamp",
        "tx",
        "ty",
    )

    def __init__(
        self, edge: int, stage: int, face: int, tx: float, ty: float, d0: float, speed: float
    ) -> None:
        self.edge, self.stage, self.face = edge, stage, face
        self.tx, self.ty, self.nx, self.ny = tx, ty, -ty, tx
        self.d0, self.speed = d0, speed
        self.left = self.right = -1
        self.alive = True
        self.stamp = 0


class Corner:
    """A corner of the wavefront between front `a`, which ends here, and `b`, which begins."""

    __slots__ = ("a", "alive", "b", "hr", "node", "reflex", "skip", "target", "ux", "uy", "x", "y")

    def __init__(self, a: int, b: int, node: int, x: float, y: float, hr: float) -> None:
        self.a, self.b, self.node = a, b, node
        self.x, self.y, self.hr = x, y, hr
        self.ux = self.uy = 0.0
        self.alive = True
        self.reflex = False
        self.target: tuple[float, int] = (math.inf, -1)
        self.skip: set[tuple[int, int]] = set()


class Fronts:
    """All fronts and corners, with the questions the events ask of them."""

    def __init__(self, prepared: Prepared, tolerance: float) -> None:
        self.size = prepared.size
        self.near = MERGE_REL * prepared.size * tolerance
        self.fronts: list[Front] = []
        self.corners: list[Corner] = []
        self._table = np.zeros((11, 64))
        self._reflex = np.zeros((6, 64))
        self._reflex_of: list[int] = []
        self._row_of: dict[int, int] = {}

    # -- making -----------------------------------------------------------------------------

    def add_front(self, front: Front) -> int:
        """Add a front and return its index."""
        index = len(self.fronts)
        self.fronts.append(front)
        if index >= self._table.shape[1]:
            self._table = np.concatenate([self._table, np.zeros_like(self._table)], axis=1)
        return index

    def add_corner(self, a: int, b: int, node: int, x: float, y: float, h: float) -> int:
        """Join front a's right end to front b's left end in a new corner at (x, y)."""
        index = len(self.corners)
        self.corners.append(Corner(a, b, node, x, y, h))
        self.fronts[a].right = index
        self.fronts[b].left = index
        return index

    def kill_front(self, index: int) -> None:
        """Take a front out of the wavefront."""
        front = self.fronts[index]
        front.alive = False
        front.stamp += 1
        self._table[_ON, index] = 0.0

    def kill_corner(self, index: int) -> None:
        """Take a corner out of the wavefront."""
        self.corners[index].alive = False
        row = self._row_of.pop(index, None)
        if row is None:
            return
        last = self._reflex_of.pop()
        if last != index:
            end = len(self._reflex_of)
            self._reflex[:, row] = self._reflex[:, end]
            self._reflex_of[row] = last
            self._row_of[last] = row

    # -- geometry ---------------------------------------------------------------------------

    def at(self, corner: int, h: float) -> tuple[float, float]:
        """Where a corner is at height h."""
        c = self.corners[corner]
        dh = h - c.hr
        return c.x + c.ux * dh, c.y + c.uy * dh

    def cross(self, a: int, b: int) -> float:
        """Sine of the turn from front a to front b."""
        fa, fb = self.fronts[a], self.fronts[b]
        return fa.tx * fb.ty - fa.ty * fb.tx

    def dot(self, a: int, b: int) -> float:
        """Cosine of the turn from front a to front b."""
        fa, fb = self.fronts[a], self.fronts[b]
        return fa.tx * fb.tx + fa.ty * fb.ty

    def meet(self, a: int, b: int, h: float) -> tuple[float, float]:
        """Where the lines of two fronts that are not parallel meet at height h."""
        fa, fb = self.fronts[a], self.fronts[b]
        da, db = fa.d0 + fa.speed * h, fb.d0 + fb.speed * h
        det = fa.nx * fb.ny - fa.ny * fb.nx
        return (da * fb.ny - db * fa.ny) / det, (fa.nx * db - fb.nx * da) / det

    def miss(self, front: int, x: float, y: float, h: float) -> float:
        """How far a point is from a front's line at height h."""
        f = self.fronts[front]
        return abs(f.nx * x + f.ny * y - f.d0 - f.speed * h)

    def common_point(
        self, fronts: list[int], x: float, y: float, h: float
    ) -> tuple[float, float, float]:
        """The point near (x, y) in which some fronts meet, and by how much it misses the worst.

        It is taken from the two fronts that cross most squarely: where others are nearly
        parallel their corners race along and tell the place badly.
        """
        some = [self.fronts[i] for i in fronts]
        best, pair = 1e-3, (-1, -1)
        for i, a in enumerate(some[:12]):
            for j in range(i):
                b = some[j]
                size = abs(a.tx * b.ty - a.ty * b.tx)
                if size > best + 1e-6:
                    best, pair = size, (i, j)
            if best > 0.999:
                break
        if pair[0] >= 0:
            mx, my = self.meet(fronts[pair[0]], fronts[pair[1]], h)
            if math.hypot(mx - x, my - y) <= 1e4 * self.near:
                x, y = mx, my
        miss = 0.0
        for f in some:
            miss = max(miss, abs(f.nx * x + f.ny * y - f.d0 - f.speed * h))
        return x, y, miss

    def wall_between(self, a: int, b: int, x: float, y: float, face: int) -> int:
        """A step wall between parallel fronts a and b that part at (x, y)."""
        fa, fb = self.fronts[a], self.fronts[b]
        sign = 1.0 if fb.speed > fa.speed else -1.0
        tx, ty = sign * fa.nx, sign * fa.ny
        return self.add_front(Front(WALL, 0, face, tx, ty, -ty * x + tx * y, 0.0))

    def set_motion(self, corner: int, h: float) -> None:
        """Set a corner's velocity from its fronts; exact on their lines where these cross."""
        c = self.corners[corner]
        fa, fb = self.fronts[c.a], self.fronts[c.b]
        det = fa.nx * fb.ny - fa.ny * fb.nx
        c.hr = h
        if abs(det) <= PARALLEL_RAD:
            speed = (fa.speed + fb.speed) / 2.0
            c.ux, c.uy = speed * fa.nx, speed * fa.ny
            off = fa.d0 + fa.speed * h - (fa.nx * c.x + fa.ny * c.y)
            c.x, c.y = c.x + off * fa.nx, c.y + off * fa.ny
            c.reflex = False
        else:
            c.ux = (fa.speed * fb.ny - fb.speed * fa.ny) / det
            c.uy = (fa.nx * fb.speed - fb.nx * fa.speed) / det
            if abs(det) > 1e-4:
                c.x, c.y = self.meet(c.a, c.b, h)
            c.reflex = det < 0.0
        if c.reflex:
            row = len(self._reflex_of)
            if row >= self._reflex.shape[1]:
                self._reflex = np.concatenate([self._reflex, np.zeros_like(self._reflex)], axis=1)
            self._reflex_of.append(corner)
            self._row_of[corner] = row
            self._reflex[:, row] = (
                c.x - c.ux * h,
                c.y - c.uy * h,
                c.ux,
                c.uy,
                c.node,
                -_LATEST,
            )

    def refresh(self, index: int) -> None:
        """Write a front's line and the tracks of its ends into the table."""
        f = self.fronts[index]
        f.stamp += 1
        lc, rc = self.corners[f.left], self.corners[f.right]
        l1 = f.tx * lc.ux + f.ty * lc.uy
        r1 = f.tx * rc.ux + f.ty * rc.uy
        self._table[:, index] = (
            f.nx,
            f.ny,
            f.d0,
            f.speed,
            f.tx * lc.x + f.ty * lc.y - l1 * lc.hr,
            l1,
            f.tx * rc.x + f.ty * rc.y - r1 * rc.hr,
            r1,
            lc.node,
            rc.node,
            1.0,
        )

    # -- questions about the future ---------------------------------------------------------

    def vanishing(self, index: int, h: float) -> float:
        """Height at which a front has shrunk to nothing; inf if it does not shrink."""
        f = self.fronts[index]
        lc, rc = self.corners[f.left], self.corners[f.right]
        lx, ly = self.at(f.left, h)
        rx, ry = self.at(f.right, h)
        length = f.tx * (rx - lx) + f.ty * (ry - ly)
        rate = f.tx * (rc.ux - lc.ux) + f.ty * (rc.uy - lc.uy)
        if rate >= 0.0:
            return math.inf
        return max(h, h - length / rate)

    def first_hits(self, corners: list[int], h: float) -> list[tuple[float, int]]:
        """The next (height, front) that each reflex corner runs into; (inf, -1) if none."""
        out: list[tuple[float, int]] = []
        chunk = max(1, _CELLS // max(1, len(self.fronts)))
        for k in range(0, len(corners), chunk):
            out += self._first_hits(corners[k : k + chunk], h)
        return out

    def _first_hits(self, corners: list[int], h: float) -> list[tuple[float, int]]:
        t = self._table[:, : len(self.fronts)]
        cs = [self.corners[i] for i in corners]
        x0, y0, u, v, node = np.array(
            [(c.x - c.ux * c.hr, c.y - c.uy * c.hr, c.ux, c.uy, c.node) for c in cs]
        ).T[:, :, None]
        gap = t[_NX] * x0 + t[_NY] * y0 - t[_D0]
        rate = t[_NX] * u + t[_NY] * v - t[_S]
        ok = (rate < -_SLOW) & (t[_ON] > 0.0) & (t[_NL] != node) & (t[_NR] != node)
        ok &= gap + rate * h > -10.0 * self.near
        for row, c in enumerate(cs):
            ok[row, c.a] = ok[row, c.b] = False
            for skipped, stamp in c.skip:
                if self.fronts[skipped].stamp == stamp:
                    ok[row, skipped] = False
        rows, ids = np.nonzero(ok)
        t = t[:, ids]
        when = np.maximum(-gap[rows, ids] / rate[rows, ids], h)
        x, y = x0[rows, 0] + u[rows, 0] * when, y0[rows, 0] + v[rows, 0] * when
        along = t[_NY] * x - t[_NX] * y
        slack = 10.0 * self.near
        fine = np.flatnonzero(
            (along >= t[_L0] + t[_L1] * when - slack) & (along <= t[_R0] + t[_R1] * when + slack)
        )
        out = [(math.inf, -1)] * len(corners)
        # from late to early, so that the earliest of each corner is written last
        for k in fine[np.argsort(-when[fine], kind="stable")].tolist():
            out[rows[k]] = (float(when[k]), int(ids[k]))
        return out

    def hits_on(self, indices: list[int], h: float) -> list[tuple[float, int, int]]:
        """(height, corner, front) for each of these fronts and each reflex corner that will run
        into it sooner than into what it knew. Corners not yet aimed are left out."""
        v = self._reflex[:, : len(self._reflex_of)]
        if not v.shape[1] or not indices:
            return []
        col = self._table[:, indices][:, :, None]
        gap = col[_NX] * v[_X] + col[_NY] * v[_Y] - col[_D0]
        rate = col[_NX] * v[_U] + col[_NY] * v[_V] - col[_S]
        # the hit lies at -gap / rate, sooner than what the corner knew: without dividing yet. A
        # corner not yet aimed knows -_LATEST and is left out by this.
        ok = (gap + rate * v[_BEST] < 0.0) & (rate < -_SLOW)
        ok &= gap + rate * h > -10.0 * self.near
        which, rows = np.nonzero(ok)
        slack = 10.0 * self.near
        if rows.size > _FEW:  # of many, most are sorted out at once
            w, f = v[:, rows], col[:, which, 0]
            when = np.maximum(-gap[which, rows] / rate[which, rows], h)
            along = f[_NY] * (w[_X] + w[_U] * when) - f[_NX] * (w[_Y] + w[_V] * when)
            fine = along >= f[_L0] + f[_L1] * when - slack
            fine &= (along <= f[_R0] + f[_R1] * when + slack) & (when < w[_BEST])
            which, rows = which[fine], rows[fine]
        out = []
        for i, row in zip(which.tolist(), rows.tolist(), strict=True):
            f, w = col[:, i, 0].tolist(), v[:, row].tolist()
            when = max(float(-gap[i, row] / rate[i, row]), h)
            along = f[_NY] * (w[_X] + w[_U] * when) - f[_NX] * (w[_Y] + w[_V] * when)
            if (
                when < w[_BEST]
                and f[_L0] + f[_L1] * when - slack <= along <= f[_R0] + f[_R1] * when + slack
                and w[_NODE] not in (f[_NL], f[_NR])
            ):
                corner, index = self._reflex_of[row], indices[i]
                c = self.corners[corner]
                if index not in (c.a, c.b) and (index, self.fronts[index].stamp) not in c.skip:
                    out.append((when, corner, index))
        return sorted(out)

    def set_target(self, corner: int, height: float, front: int) -> None:
        """Remember what a reflex corner will run into."""
        self.corners[corner].target = (height, front)
        self._reflex[_BEST, self._row_of[corner]] = min(height, _LATEST)
