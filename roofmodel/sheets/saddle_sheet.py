"""The drawing of a saddle's flat sheet: its two planes with their bend lines and corners."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final, Literal

from roofmodel.sheets.placing import spread
from roofmodel.sheets.shop_types import (
    BEND_DOWN,
    BEND_UP,
    NOTES,
    PLANE,
    SMALL_TEXT_MM,
    TEXT_MM,
    XY,
    SheetDimension,
    SheetLine,
    SheetOutline,
    SheetPlan,
    SheetRunning,
    SheetText,
    ShopSheet,
)
from roofmodel.sheets.shop_words import FIELD_MEASURE, end_fields, exact_words, job_fields
from roofmodel.shop.job import ShopJob
from roofmodel.shop.saddles import SaddleEdge, SaddleSheet
from roofmodel.systems import EdgeKind
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import format_angle, format_area, format_length

_LEADER_MM: Final = 5.0
_WRITTEN_MM: Final = 17.0
_SAME_MM: Final = 0.1


def saddle_plan(job: ShopJob, saddle: SaddleSheet) -> SheetPlan:
    """The sheet of a saddle, not yet drawn."""
    return SheetPlan(
        f"blank {saddle.name}",
        f"{saddle.name}: flat sheet",
        "saddle sheet",
        (saddle.width, saddle.length),
        (_LEADER_MM + _WRITTEN_MM + 12.0, _LEADER_MM + _WRITTEN_MM + 12.0, 8.0, 8.0),
        lambda scale: _drawn(job, saddle, scale),
        (),
    )


def _drawn(job: ShopJob, saddle: SaddleSheet, scale: float) -> ShopSheet:
    units = job.project.units
    small, away = SMALL_TEXT_MM * scale, (_LEADER_MM + _WRITTEN_MM + 6.0) * scale
    wide, long = saddle.width, saddle.length
    net = " × ".join(format_length(size, units) for size in (wide, long))
    return ShopSheet(
        f"blank {saddle.name}",
        f"{saddle.name}: flat sheet",
        "saddle sheet",
        scale,
        (
            *job_fields(job),
            ("Part", saddle.name),
            ("Quantity", "1"),
            ("Net sheet", f"{net} around it"),
            ("Net area", format_area(saddle.area, units)),
            *end_fields(job, "trim"),
        ),
        tuple(_notes(job, saddle)),
        tuple(
            SheetOutline(PLANE, tuple((x, y) for x, y in ring.tolist()))
            for _, ring in saddle.planes
        ),
        tuple(
            SheetLine(BEND_DOWN if e.fold > 0.0 else BEND_UP, e.start, e.end)
            for e in saddle.edges
        ),
        (),
        tuple(_numbers(saddle, small)),
        (
            SheetDimension((0.0, 0.0), (wide, 0.0), (0.0, -away), 0.0,
                           exact_words(wide, units), TEXT_MM * scale),
            SheetDimension((0.0, 0.0), (0.0, long), (-away, 0.0), 90.0,
                           exact_words(long, units), TEXT_MM * scale),
        ),
        (*_running(job, saddle, scale, "x"), *_running(job, saddle, scale, "y")),
    )  # fmt: skip


def _running(
    job: ShopJob, saddle: SaddleSheet, scale: float, axis: Literal["x", "y"]
) -> list[SheetRunning]:
    """How far corners between the ends lie from the left, or from the opening."""
    k, size = (0, saddle.width) if axis == "x" else (1, saddle.length)
    corners = sorted({(x, y) for _, ring in saddle.planes for x, y in ring.tolist()},
                     key=lambda c: (c[k], c[1 - k]))  # fmt: skip
    kept: list[XY] = []
    for corner in corners:
        is_inside = _SAME_MM < corner[k] < size - _SAME_MM
        if is_inside and (not kept or corner[k] - kept[-1][k] > _SAME_MM):
            kept.append(corner)
    small = SMALL_TEXT_MM * scale
    places = spread([c[k] for c in kept][::-1], 1.5 * small)[::-1]
    to = -_LEADER_MM * scale
    return [
        SheetRunning(
            (0.0, 0.0),
            corner,
            (place, to) if axis == "x" else (to, place),
            exact_words(corner[k], job.project.units),
            small,
            axis,
        )
        for corner, place in zip(kept, places, strict=True)
    ]


def _numbers(saddle: SaddleSheet, small: float) -> Iterator[SheetText]:
    """The numbers of bend lines, beside their middle on the sheet."""
    middle = (saddle.width / 2.0, saddle.length / 2.0)
    for number, e in enumerate(saddle.edges, 1):
        (x0, y0), (x1, y1) = e.start, e.end
        size = math.dist(e.start, e.end)
        if size <= HEAL_MM:
            continue
        at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
        normal = ((y1 - y0) / size, (x0 - x1) / size)
        inwards = (middle[0] - at[0]) * normal[0] + (middle[1] - at[1]) * normal[1]
        step = math.copysign(1.3 * small, inwards)
        at = (at[0] + normal[0] * step, at[1] + normal[1] * step)
        yield SheetText(NOTES, str(number), at, small, is_masked=True)


def _notes(job: ShopJob, saddle: SaddleSheet) -> list[str]:
    units = job.project.units
    out = [
        f"{number}: {e.name}, {format_length(math.dist(e.start, e.end), units)}; {_bent(e)}."
        for number, e in enumerate(saddle.edges, 1)
    ]
    names = " and ".join(name for name, _ in saddle.planes)
    out.append(f"The colour side lies up: {names} laid flat, its opening below.")
    out.append(
        "Sizes are those of the roof's planes: add turn-ups at the opening, flanges below the"
        " panels and seams beyond the bend lines before it is cut."
    )
    return [*out, FIELD_MEASURE]


def _bent(e: SaddleEdge) -> str:
    way = "down" if e.fold > 0.0 else "up"
    if e.kind is EdgeKind.UPHILL_SIDE:
        return f"turned {way} the wall of the opening, bend {format_angle(abs(e.fold))}"
    return f"bend {format_angle(abs(e.fold))} {way}"
