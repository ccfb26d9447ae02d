"""What a pointer near lines and corners is taken to mean. Plan millimetres throughout.

Vocabulary
----------
reach
    How near (mm) the pointer must be for something to draw it.
begun line
    The corners drawn so far; the next one is being looked for.
way
    The unit vector of the edge being drawn, where a direction is snapped to.
on the line of
    On an edge drawn on beyond its end, or square across from the first corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypeAlias, get_args

import numpy as np

from roofmodel.geometry.directions import Kind, Line, Point, Way, way_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

Array: TypeAlias = "NDArray[np.float64]"
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)

ON_MM: Final = 15_000.0
"""How far beyond its end an edge still draws the pointer to its line."""

_END: Final = 1e-9
"""Share of its length by which a line may be missed at its ends."""

_MOST: Final = 8
"""Lines near the pointer that are looked at: more lie there only in a mess."""


@dataclass(frozen=True, slots=True)
class Snap:
    """Where the pointer is taken to be: `at` (mm), what it snapped to, and how to show it.

    `way` is set where the direction of the begun edge was snapped; `guides` are lines to show.
    """

    at: Point
    kinds: tuple[Kind, ...]
    words: str
    guides: tuple[tuple[Point, Point], ...] = ()
    way: Point | None = None


class Segments:
    """Many lines (n, 4), mm, made once; those near a place are found among 200,000 in 1 ms."""

    def __init__(self, lines: ArrayLike = ()) -> None:
        self.lines = _segments(lines)
        x, y = self.lines[:, 0::2], self.lines[:, 1::2]
        self._bounds = (x.min(axis=1), x.max(axis=1), y.min(axis=1), y.max(axis=1))

    def near(self, at: Point, reach: float) -> Array:
        """The lines whose extent comes within reach of a point, (k, 4)."""
        west, east, south, north = self._bounds
        found: Array = self.lines[
            (west <= at[0] + reach)
            & (east >= at[0] - reach)
            & (south <= at[1] + reach)
            & (north >= at[1] - reach)
        ]
        return found


class Targets:
    """Everything there is to snap to, made once and asked many times.

    Parameters
    ----------
    edges : (n, 4)
        Edges from (x, y) to (x, y), mm.
    underlay : (m, 4), or `Segments`
        Lines of drawings under the plan, mm.
    outlines : n bool
        Which edges also lend their direction and the line beyond their ends (None: all).
    beyond : (k, 4)
        Short lines that are not drawn: only the line beyond their ends counts.
    """

    def __init__(
        self,
        edges: ArrayLike = (),
        underlay: ArrayLike | Segments = (),
        outlines: Sequence[bool] | None = None,
        beyond: ArrayLike = (),
    ) -> None:
        self.edges = _segments(edges)
        self.underlay = underlay if isinstance(underlay, Segments) else Segments(underlay)
        all_of_them = np.ones(len(self.edges), bool)
        wanted = all_of_them if outlines is None else np.array(outlines, bool)
        self.long = self.edges[wanted]
        self.lines = np.vstack([self.long, _segments(beyond)])

    @cached_property
    def directions(self) -> tuple[float, ...]:
        """Directions of the outlines' edges, degrees from 0 to 180, each once, longest first."""
        step = self.long[:, 2:] - self.long[:, :2]
        turned = np.round(np.degrees(np.arctan2(step[:, 1], step[:, 0])) % 180.0, 3) % 180.0
        order = np.argsort(-np.hypot(step[:, 0], step[:, 1]), kind="stable")
        return tuple(dict.fromkeys(turned[order].tolist()))


def best_snap(
    targets: Targets,
    at: Point,
    reach: float,
    begun: Sequence[Point] = (),
    kinds: AbstractSet[str] = frozenset(KINDS),
    *,
    own_directions: bool = False,
) -> Snap | None:
    """What the pointer `at` means, or None if it means just its place.

    Parameters
    ----------
    begun : corners drawn so far
        The edge being drawn starts at the last one.
    kinds : which of `KINDS` count
    own_directions : bool
        The edge must run along or square to an edge already begun (or of an outline, or the
        axes, before there is one), however far the pointer is from it.

    A corner goes before all else, then two things at once (an edge and a right angle), then
    middles, then one thing. Linear in the number of lines; under 2 ms for thousands.
    """
    way = way_of(targets.directions, at, begun, kinds, own=own_directions)
    held = own_directions and way is not None
    if not held:
        corner = _corner(targets, at, reach, begun, kinds)
        if corner is not None:
            return corner
    near = list(_lines(targets, at, reach, begun, kinds))
    found: list[tuple[float, Snap]] = []
    if not held:
        found += _points_on(near, at, reach, begun, kinds)
        found += _crossings(near, at, reach, kinds)
    if way is not None:
        found += _on_way(targets, at, reach, begun, kinds, way, near)
    if found:
        return min(found, key=lambda f: f[0])[1]
    near = [n for n in near if n.kind in kinds]
    lines = [n for n in near if n.kind != "on the line of"]
    if way is not None and (held or not lines):
        ray = way.line
        spot = ray.at(max(ray.along(at), 0.0))
        return Snap(spot, (ray.kind,), way.words, (), ray.unit)
    if not near:
        return None
    line = (lines or near)[0]
    spot = line.at(line.along(at))
    guides = ((line.point, spot),) if line.kind == "on the line of" else ()
    return Snap(spot, (line.kind,), _WORDS[line.kind], guides)


_WORDS: Final[dict[Kind, str]] = {
    "corner": "Corner", "edge": "On an edge", "middle": "Middle of an edge",
    "square to": "Square to an edge", "on the line of": "On the line of an edge",
    "parallel": "Parallel", "right angle": "Right angle", "underlay line": "Underlay line",
    "crossing": "Crossing",
}  # fmt: skip


def _segments(lines: ArrayLike) -> Array:
    found: Array = np.asarray(lines, dtype=float).reshape(-1, 4)
    found = found[np.isfinite(found).all(axis=1)]
    found = found[np.hypot(found[:, 2] - found[:, 0], found[:, 3] - found[:, 1]) > 1e-6]
    found.flags.writeable = False
    return found


def _corner(
    targets: Targets, at: Point, reach: float, begun: Sequence[Point], kinds: AbstractSet[str]
) -> Snap | None:
    found: list[tuple[float, Point, Snap]] = []
    groups: list[tuple[Array, tuple[Kind, ...], str]] = []
    if "corner" in kinds:
        groups.append((targets.edges.reshape(-1, 2), ("corner",), "Corner"))
        groups.append((np.array(begun[:-1]).reshape(-1, 2), ("corner",), "Corner"))
    if {"corner", "underlay line"} <= kinds:
        ends = targets.underlay.near(at, reach).reshape(-1, 2)
        groups.append((ends, ("underlay line", "corner"), "End of an underlay line"))
    for points, what, words in groups:
        apart = np.abs(points - np.array(at))
        points = points[(apart[:, 0] <= reach) & (apart[:, 1] <= reach)]
        if not len(points):
            continue
        away = np.hypot(points[:, 0] - at[0], points[:, 1] - at[1])
        k = int(np.argmin(away))
        if away[k] <= reach:
            spot = (float(points[k, 0]), float(points[k, 1]))
            found.append((float(away[k]), spot, Snap(spot, what, words)))
    return min(found, key=lambda f: f[0])[2] if found else None


def _lines(
    targets: Targets, at: Point, reach: float, begun: Sequence[Point], kinds: AbstractSet[str]
) -> Iterator[Line]:
    """The lines within reach, the nearest first, what is drawn before what is only in line."""
    drawn: list[tuple[float, Line]] = []
    own = _begun_segments(begun)
    if "edge" in kinds or "middle" in kinds or "square to" in kinds or "crossing" in kinds:
        drawn += _near(targets.edges, at, reach, "edge")
        drawn += _near(own[:-1], at, reach, "edge")
    if "underlay line" in kinds:
        drawn += _near(targets.underlay.near(at, reach), at, reach, "underlay line")
    drawn.sort(key=lambda d: d[0])
    yield from (line for _, line in drawn[:_MOST])
    if "on the line of" in kinds:
        beyond = _near(targets.lines, at, reach, "on the line of", ON_MM)
        beyond += _near(own[:-1], at, reach, "on the line of", ON_MM)
        beyond.sort(key=lambda d: d[0])
        yield from (line for _, line in beyond[:_MOST])


def _begun_segments(begun: Sequence[Point]) -> Array:
    points = np.array(begun, dtype=float).reshape(-1, 2)
    return np.hstack([points[:-1], points[1:]]) if len(points) > 1 else np.zeros((0, 4))


def _near(
    segments: Array, at: Point, reach: float, kind: Kind, beyond: float = 0.0
) -> list[tuple[float, Line]]:
    """Lines within reach of a point; with `beyond` only outside their ends, that far."""
    if not len(segments):
        return []
    a = segments[:, :2]
    step = segments[:, 2:] - a
    size = np.hypot(step[:, 0], step[:, 1])
    unit = step / size[:, None]
    from_a = np.array(at) - a
    t = np.sum(from_a * unit, axis=1)
    off = np.abs(from_a[:, 0] * unit[:, 1] - from_a[:, 1] * unit[:, 0])
    over = np.maximum(-t, t - size)  # how far beyond the nearer end
    if beyond:
        wanted = (off <= reach) & (over > 0.0) & (over <= beyond)
        rank = off
    else:
        rank = np.hypot(off, np.maximum(over, 0.0))
        wanted = rank <= reach
    found = []
    picked = np.flatnonzero(wanted)
    for k in picked[np.argsort(rank[picked], kind="stable")][:_MOST]:
        (ax, ay), (ux, uy) = a[k].tolist(), unit[k].tolist()
        length = float(size[k])
        low, high = (-beyond, length + beyond) if beyond else (0.0, length)
        if beyond and t[k] > length:
            ax, ay = ax + length * ux, ay + length * uy
            low, high = 0.0, beyond
        elif beyond:
            low, high = -beyond, 0.0
        line = Line((ax, ay), (ux, uy), low - _END * length, high + _END * length, kind)
        found.append((float(rank[k]), line))
    return found


def _points_on(
    near: Sequence[Line], at: Point, reach: float, begun: Sequence[Point],
    kinds: AbstractSet[str],
) -> Iterator[tuple[float, Snap]]:  # fmt: skip
    """Middles, and feet of the begun edge square to a line."""
    for line in near:
        if line.kind == "on the line of":
            continue
        if "middle" in kinds and line.kind == "edge":
            middle = line.at((line.low + line.high) / 2)
            away = math.dist(middle, at)
            if away <= reach:
                yield away, Snap(middle, ("middle",), _WORDS["middle"])
        if "square to" in kinds and begun and line.kind in kinds:
            t = line.along(begun[-1])
            foot = line.at(t)
            away = math.dist(foot, at)
            apart = math.dist(foot, begun[-1])
            if away <= reach < apart and line.low <= t <= line.high:
                yield away, Snap(foot, ("square to",), _WORDS["square to"])


def _crossings(
    near: Sequence[Line], at: Point, reach: float, kinds: AbstractSet[str]
) -> Iterator[tuple[float, Snap]]:
    for k, one in enumerate(near if "crossing" in kinds else ()):
        for other in near[:k]:
            spot = one.meets(other)
            away = math.inf if spot is None else math.dist(spot, at)
            if spot is None or away > reach:
                continue
            both = {one.kind, other.kind}
            guides = tuple((n.point, spot) for n in (one, other) if n.kind == "on the line of")
            words = "Crossing of lines" if both == {"on the line of"} else _WORDS["crossing"]
            yield away, Snap(spot, ("crossing",), words, guides)


def _on_way(
    targets: Targets, at: Point, reach: float, begun: Sequence[Point], kinds: AbstractSet[str],
    way: Way, near: Sequence[Line],
) -> Iterator[tuple[float, Snap]]:  # fmt: skip
    """The direction of the begun edge together with one thing more."""
    ray = way.line
    foot = ray.at(ray.along(at))
    # The direction draws the pointer further than a line does: look about both places.
    lines = {id(n): n for n in near}
    lines.update((id(n), n) for n in _lines(targets, foot, reach, begun, kinds))
    for line in lines.values():
        if line.kind not in kinds:
            continue
        spot = ray.meets(line)
        if spot is None or math.dist(spot, begun[-1]) <= reach:
            continue
        away = min(math.dist(spot, foot), math.dist(spot, at))
        if away <= reach:
            guides = ((line.point, spot),) if line.kind == "on the line of" else ()
            words = f"{way.words}, {_WORDS[line.kind].lower()}"
            yield away, Snap(spot, (ray.kind, line.kind), words, guides, ray.unit)
    if len(begun) > 1 and "on the line of" in kinds:
        first, last = begun[0], begun[-1]
        t = ray.along(first)
        away = abs(ray.along(at) - t)
        if abs(t) > reach and away < reach and t >= 0.0:
            spot = ray.at(t)
            if ray.unit[1] == 0.0:
                spot = first[0], last[1]  # exact, so that what closes square is square
            elif ray.unit[0] == 0.0:
                spot = last[0], first[1]
            words = f"{way.words}, in line with the first corner"
            yield (
                away,
                Snap(spot, (ray.kind, "on the line of"), words, ((spot, first),), ray.unit),
            )
