"""The wavefront's journey from the eaves to the ridges, event by event.

All events of one height are gathered and worked off together:

1. A front that has shrunk to nothing joins its two corners; a reflex corner that reached a front
   cuts it and joins the cut. Joined corners form clusters.
2. In each cluster the fronts that arrive and those that leave are paired anew so that the part
   of the outline not yet swept lies between them (the planar matching of Biedl, Huber and
   Palfrader, IJCGA 2016, found by angles).
3. Two fronts of a pair that lie on each other in opposite directions have met along a ridge: they
   are zipped up to the nearer end of the two, and the cluster found there is paired in turn.
4. Fronts whose profile changes at this height get their new speed.
5. Parallel neighbours of unlike speed get a step wall between them.

Fronts move at 1/slope (Aichholzer et al. 1995 for one slope; Held and Palfrader, CAD 2016, for
several slopes and unlike eaves; Kelly and Wonka, TOG 2011, for profiles with steps).
"""

from __future__ import annotations

import heapq
import math

from roofmodel.skeleton.boundary import Boundary
from roofmodel.skeleton.closing import cut_off, has_step_wall, loops_of
from roofmodel.skeleton.clusters import Groups, Places, matching
from roofmodel.skeleton.fronts import Front, Fronts
from roofmodel.skeleton.outline import Prepared
from roofmodel.skeleton.types import WALL
from roofmodel.tolerance import EVENT_REL, PARALLEL_RAD

_VANISH, _HIT = 0, 1


class Stuck(ArithmeticError):
    """Rounding led the wavefront astray near `place` (plan, mm), if that is known; the solver
    tries again with another tolerance."""

    def __init__(self, message: str, place: tuple[float, float] | None = None) -> None:
        super().__init__(message)
        self.place = place


class Wavefront(Fronts):
    """The wavefront of one outline. `run` moves it; `boundary` then holds the faces."""

    def __init__(self, prepared: Prepared, tolerance: float = 1.0) -> None:
        super().__init__(prepared, tolerance)
        self.prepared = prepared
        self.boundary = Boundary()
        self.walls_at: list[tuple[float, float]] = []
        self.shafts_at: list[tuple[float, float]] = []
        self.worst_miss = 0.0
        self._same_time = EVENT_REL * prepared.size * tolerance
        self._queue: list[tuple[float, int, int, int, int]] = []
        self._fresh: list[int] = []
        self._at_node: dict[int, list[int]] = {}
        self._places = Places(4.0 * self.near)
        self._spikes: list[int] = []
        self._changes = sorted(
            {s.height for stages in prepared.stages for s in stages if s.height > 0.0}
        )
        self._begin()

    # -- start ------------------------------------------------------------------------------

    def _begin(self) -> None:
        for ring, edges in zip(self.prepared.rings, self.prepared.edges, strict=True):
            n, corners = len(ring), ring.tolist()
            nodes = [self.boundary.node(x, y, 0.0) for x, y in corners]
            ids = []
            for k, edge in enumerate(edges):
                (x, y), (x2, y2) = corners[k], corners[(k + 1) % n]
                length = math.hypot(x2 - x, y2 - y)
                tx, ty = (x2 - x) / length, (y2 - y) / length
                stage = self.prepared.stages[edge][0]
                face = self.boundary.face(edge, stage.step)
                self.boundary.arc(face, nodes[k], nodes[(k + 1) % n])
                middle = (-ty * (x + x2) + tx * (y + y2)) / 2.0
                ids.append(self.add_front(Front(edge, 0, face, tx, ty, middle, stage.speed)))
            for k, (x, y) in enumerate(corners):
                self._join(ids[k - 1], ids[k], nodes[k], x, y, 0.0)
        self._spikes.clear()
        self._settle(0.0)

    # -- the journey ------------------------------------------------------------------------

    def run(self, top: float) -> list[list[int]]:
        """Move until everything is swept, or up to height `top`; the loops then left over, each
        a list of nodes at that height."""
        budget = 60 * len(self.fronts) + 2000 + len(self._changes)
        while True:
            while self._queue and not self._valid(self._queue[0]):
                stale = heapq.heappop(self._queue)
                self._ask_again(stale)
            h = self._queue[0][0] if self._queue else math.inf
            change = self._changes[0] if self._changes else math.inf
            if change <= h + self._same_time:
                h = change
            if h > top - self._same_time:
                h = top
            if math.isinf(h):
                return self._cap_shafts()
            budget -= 1
            if budget < 0:
                raise Stuck("too many events")
            self._batch(h)
            if change <= h + self._same_time:
                self._changes.pop(0)
                self._change_speeds(h, change)
            if h >= top:
                return [self._cut_off(loop, h) for loop in loops_of(self)]
            self._settle(h)

    def is_open(self) -> bool:
        """Is a part of the outline left that nothing will sweep?"""
        return any(c.alive for c in self.corners)

    def _valid(self, event: tuple[float, int, int, int, int]) -> bool:
        h, kind, who, front, stamp = event
        if kind == _VANISH:
            f = self.fronts[who]
            return f.alive and f.stamp == stamp
        c = self.corners[who]
        return c.alive and c.target == (h, front) and self.fronts[front].alive

    def _ask_again(self, event: tuple[float, int, int, int, int]) -> None:
        h, kind, who, front, _ = event
        if kind == _HIT and self.corners[who].alive and self.corners[who].target == (h, front):
            self._aim([who], h)

    def _aim(self, corners: list[int], h: float) -> None:
        for corner, (when, front) in zip(corners, self.first_hits(corners, h), strict=True):
            self.set_target(corner, when, front)
            if front >= 0:
                heapq.heappush(self._queue, (when, _HIT, corner, front, 0))

    # -- one height -------------------------------------------------------------------------

    def _batch(self, h: float) -> None:
        """All events at height h."""
        vanished: list[int] = []
        hits: list[tuple[int, int]] = []
        later = []
        while self._queue and self._queue[0][0] <= h + self._same_time:
            event = heapq.heappop(self._queue)
            if not self._valid(event):
                self._ask_again(event)
            elif event[1] == _HIT:
                hits.append((event[2], event[3]))
            elif event[0] > h and not self._short(event[2], h):
                later.append(event)  # between nearly parallel fronts a hair of height is a mile
            else:
                vanished.append(event[2])
        for event in later:
            heapq.heappush(self._queue, event)
        clusters = Groups()
        for f in vanished:
            clusters.join(self.fronts[f].left, self.fronts[f].right)
        self._cut_fronts(hits, clusters, h)
        for group in clusters.groups():
            alive = [c for c in group if self.corners[c].alive]
            if alive:
                self._pair(self._grow(alive, h), set(), h)
        while self._spikes:
            self._zip(self._spikes.pop(), h)

    def _cut_fronts(self, hits: list[tuple[int, int]], clusters: Groups, h: float) -> None:
        """Join reflex corners to what they ran into: a corner, or a cut through a front."""
        by_front: dict[int, list[tuple[float, int]]] = {}
        for corner, front in hits:
            f = self.fronts[front]
            x, y = self.at(corner, h)
            (lx, ly), (rx, ry) = self.at(f.left, h), self.at(f.right, h)
            from_left = f.tx * (x - lx) + f.ty * (y - ly)
            to_right = f.tx * (rx - x) + f.ty * (ry - y)
            slack = 20.0 * self.near
            if self.miss(front, x, y, h) > 100.0 * self.near:
                self._aim([corner], h)  # foreseen before the front changed its speed
            elif from_left < -slack or to_right < -slack:
                self.corners[corner].skip.add((front, f.stamp))
                self._aim([corner], h)
            elif from_left <= self.near or to_right <= self.near:
                clusters.join(corner, f.left if from_left <= to_right else f.right)
            else:
                by_front.setdefault(front, []).append((from_left, corner))
        for front, cuts in sorted(by_front.items()):
            last, cut, rest = -math.inf, -1, front
            for along, corner in sorted(cuts):
                if along - last > self.near:
                    x, y = self.at(corner, h)
                    rest, cut = self._cut(rest, x, y, h)
                    last = along
                clusters.join(corner, cut)

    def _cut(self, front: int, x: float, y: float, h: float) -> tuple[int, int]:
        """Cut a front at a point; its right part is a new front. (new front, corner between)."""
        f = self.fronts[front]
        right = f.right
        rest = self.add_front(Front(f.edge, f.stage, f.face, f.tx, f.ty, f.d0, f.speed))
        self.fronts[rest].right = right
        self.corners[right].a = rest
        return rest, self.add_corner(front, rest, -1, x, y, h)

    def _grow(self, group: list[int], h: float) -> list[int]:
        """A cluster with the neighbours that stand on the same point."""
        todo, seen = list(group), set(group)
        while todo:
            one = todo.pop()
            c = self.corners[one]
            x, y = self.at(one, h)
            for other in (self.fronts[c.a].left, self.fronts[c.b].right):
                if other not in seen:
                    ox, oy = self.at(other, h)
                    if math.hypot(ox - x, oy - y) <= self.near:
                        seen.add(other)
                        todo.append(other)
        return sorted(seen)

    def _pair(self, group: list[int], gone: set[int], h: float) -> int:
        """Pair the fronts of a cluster anew and return the cluster's node; `gone` are fronts that
        ended in a zip."""
        spots = [self.at(c, h) for c in group]
        x = sum(p[0] for p in spots) / len(spots)
        y = sum(p[1] for p in spots) / len(spots)
        node = self._places.nearby(x, y)
        if node >= 0:
            more = [c for c in self._at_node[node] if self.corners[c].alive and c not in group]
            group = group + more
        inside = set(group)
        dead = set(gone)
        for c in group:
            b = self.corners[c].b
            if b not in gone and self.fronts[b].right in inside and self._short(b, h):
                dead.add(b)
        ins = [self.corners[c].a for c in group if self.corners[c].a not in dead]
        outs = [self.corners[c].b for c in group if self.corners[c].b not in dead]
        if node < 0:
            x, y, miss = self.common_point(ins + outs + sorted(dead), x, y, h)
            self.worst_miss = max(self.worst_miss, miss)
            node = self.boundary.node(x, y, h)
            self._places.add(x, y, node)
            self._at_node[node] = []
        for c in group:
            self.finish(c, node)
        for f in dead:
            self.kill_front(f)
        for a, b in matching(self.fronts, ins, outs):
            self._join(a, b, node, self.boundary.x[node], self.boundary.y[node], h)
        return node

    def _short(self, front: int, h: float) -> bool:
        f = self.fronts[front]
        (lx, ly), (rx, ry) = self.at(f.left, h), self.at(f.right, h)
        return f.left == f.right or math.hypot(rx - lx, ry - ly) <= 50.0 * self.near

    def finish(self, corner: int, node: int) -> None:
        """End a corner's arc in a node."""
        c = self.corners[corner]
        if c.node >= 0:
            self.boundary.arc(self.fronts[c.a].face, c.node, node)
            self.boundary.arc(self.fronts[c.b].face, node, c.node)
        self.kill_corner(corner)

    def _join(self, a: int, b: int, node: int, x: float, y: float, h: float) -> None:
        """A new corner between fronts a and b at a node; a spike is put aside for zipping."""
        corner = self.add_corner(a, b, node, x, y, h)
        self._at_node.setdefault(node, []).append(corner)
        self._fresh.append(corner)
        if a == b or self._faces_back(a, b) or self.fronts[a].left == self.fronts[b].right:
            self._spikes.append(corner)

    def _faces_back(self, a: int, b: int) -> bool:
        return abs(self.cross(a, b)) <= PARALLEL_RAD and self.dot(a, b) < 0.0

    def _zip(self, corner: int, h: float) -> None:
        """Close the ridge between two fronts that lie on each other, up to the nearer end."""
        c = self.corners[corner]
        if not c.alive:
            return
        a, b = c.a, c.b
        if a == b:
            self.finish(corner, c.node)
            self.kill_front(a)
            return
        fa, fb = self.fronts[a], self.fronts[b]
        if fa.left != fb.right:
            if not self._faces_back(a, b):
                return
            (ax, ay), (bx, by) = self.at(fa.left, h), self.at(fb.right, h)
            la = fa.tx * (c.x - ax) + fa.ty * (c.y - ay)
            lb = fb.tx * (bx - c.x) + fb.ty * (by - c.y)
            if la < lb - 2.0 * self.near:
                self._cut(b, ax, ay, h)
            elif lb < la - 2.0 * self.near:
                a, _ = self._cut(a, bx, by, h)
                fa = self.fronts[a]
        group = sorted({fa.left, self.fronts[b].right})
        self.finish(corner, c.node)
        before = c.node
        after = self._pair(group, {a, b}, h)
        self.boundary.arc(fa.face, before, after)
        self.boundary.arc(fb.face, after, before)

    # -- speeds -----------------------------------------------------------------------------

    def _change_speeds(self, h: float, height: float) -> None:
        """Give fronts whose profile has a step at this height their new speed and face."""
        changed = []
        for i, f in enumerate(self.fronts):
            if not f.alive or f.edge == WALL:
                continue
            stages = self.prepared.stages[f.edge]
            if f.stage + 1 < len(stages) and stages[f.stage + 1].height <= height:
                changed.append(i)
        ends = dict.fromkeys(
            c for i in changed for c in (self.fronts[i].left, self.fronts[i].right)
        )
        for corner in ends:
            c = self.corners[corner]
            node = c.node
            if corner not in self._at_node.get(node, ()):
                x, y = self.at(corner, h)
                node = self.boundary.node(x, y, h)
                self._places.add(x, y, node)
                self._at_node[node] = []
            self.finish(corner, node)
            self._join(c.a, c.b, node, self.boundary.x[node], self.boundary.y[node], h)
        for i in changed:
            f = self.fronts[i]
            f.stage += 1
            stage = self.prepared.stages[f.edge][f.stage]
            left, right = self.corners[f.left].node, self.corners[f.right].node
            self.boundary.arc(f.face, right, left)
            f.face = self.boundary.face(f.edge, stage.step)
            self.boundary.arc(f.face, left, right)
            f.d0 += (f.speed - stage.speed) * h
            f.speed = stage.speed
        self._spikes.clear()

    def _settle(self, h: float) -> None:
        """After a batch: step walls, velocities, and what the fresh corners and fronts expect."""
        fresh = [c for c in self._fresh if self.corners[c].alive]
        for corner in list(fresh):
            c = self.corners[corner]
            a, b = c.a, c.b
            if abs(self.cross(a, b)) <= PARALLEL_RAD and self.dot(a, b) > 0.0:
                fa, fb = self.fronts[a], self.fronts[b]
                if abs(fa.speed - fb.speed) > PARALLEL_RAD * (fa.speed + fb.speed):
                    x, y, node = self.boundary.x[c.node], self.boundary.y[c.node], c.node
                    wall = self.wall_between(a, b, x, y, self.boundary.face(WALL, 0))
                    self.kill_corner(corner)
                    fresh.remove(corner)
                    fresh += [
                        self.add_corner(a, wall, node, x, y, h),
                        self.add_corner(wall, b, node, x, y, h),
                    ]
                    self.walls_at.append((x, y))
        touched: dict[int, None] = {}
        for corner in fresh:
            self.set_motion(corner, h)
            touched[self.corners[corner].a] = touched[self.corners[corner].b] = None
        for f in touched:
            self.refresh(f)
            when = self.vanishing(f, h)
            if when < math.inf:
                heapq.heappush(self._queue, (when, _VANISH, f, 0, self.fronts[f].stamp))
        for when, corner, f in self.hits_on(list(touched), h):
            if when < self.corners[corner].target[0]:
                self.set_target(corner, when, f)
                heapq.heappush(self._queue, (when, _HIT, corner, f, 0))
        reflex = [corner for corner in fresh if self.corners[corner].reflex]
        if reflex:
            self._aim(reflex, h)
        self._fresh.clear()
        self._at_node.clear()
        self._places.clear()

    def _cut_off(self, loop: list[int], h: float) -> list[int]:
        return cut_off(self, self.boundary, loop, h, self.finish)

    def _cap_shafts(self) -> list[list[int]]:
        """Nodes of loops with a step wall, closed flat where they came to rest."""
        caps = []
        for loop in loops_of(self):
            if has_step_wall(self, loop):
                nodes = self._cut_off(loop, max(self.corners[i].hr for i in loop))
                self.shafts_at.append((self.boundary.x[nodes[0]], self.boundary.y[nodes[0]]))
                caps.append(nodes)
        return caps
