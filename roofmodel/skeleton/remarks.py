"""What a solved outline tells its user: where the roof was not unique and we chose, where a plane
stands oddly, and what was asked for but is never reached."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from roofmodel.skeleton.outline import Prepared
from roofmodel.skeleton.places import capital, edge_name, edge_names
from roofmodel.skeleton.types import Face
from roofmodel.skeleton.wavefront import Wavefront
from roofmodel.tolerance import MERGE_REL

Remark = tuple[str, tuple[float, float]]

_WALL = (
    "Two parallel edges on one line rise unlike (pitch, eave height or gable): a step wall stands"
    " between them. Make them alike, or move one, if there is no wall."
)
_SHAFT = (
    "Step walls close in a piece of roof that nothing covers: it is closed flat. Give the parallel"
    " eaves around it one pitch."
)
_GABLE = (
    "A gable end at an inside corner: its wall would stand in the middle of the roof. Give this"
    " edge a pitch, or make the wing its own section."
)


def remarks_of(
    front: Wavefront, prepared: Prepared, faces: Sequence[Face], top: float
) -> tuple[Remark, ...]:
    """Sentences with their places (plan, mm). `top` is the deck's height above the base."""
    ox, oy = prepared.origin.tolist()
    out = [(_WALL, (x + ox, y + oy)) for x, y in front.walls_at]
    out += [(_SHAFT, (x + ox, y + oy)) for x, y in front.shafts_at]
    return tuple(out + _inside_gables(prepared) + _never_reached(prepared, faces, top))


def _inside_gables(prepared: Prepared) -> list[Remark]:
    ox, oy = prepared.origin.tolist()
    out = []
    for ring, edges in zip(prepared.rings, prepared.edges, strict=True):
        gables = [all(s.speed == 0.0 for s in prepared.stages[e]) for e in edges]
        corners, n = ring.tolist(), len(edges)
        for k, (x, y) in enumerate(corners):
            if not (gables[k - 1] or gables[k]):
                continue
            (x0, y0), (x2, y2) = corners[k - 1], corners[(k + 1) % n]
            if (x - x0) * (y2 - y) - (y - y0) * (x2 - x) < 0:
                out.append((_GABLE, (x + ox, y + oy)))
    return out


def _never_reached(prepared: Prepared, faces: Sequence[Face], top: float) -> list[Remark]:
    """Eaves that no plane starts from, steps and a deck above the whole finished roof."""
    waiting = any(len(stages) > 1 for stages in prepared.stages)
    if not waiting and math.isinf(top):
        return []
    peak = max(faces, key=lambda f: float(f.vertices[:, 2].max())).vertices
    x, y, high = peak[int(np.argmax(peak[:, 2]))].tolist()
    out: list[Remark] = []
    if not math.isinf(top) and top + prepared.base - high > MERGE_REL * prepared.size:
        out.append(
            (
                "The deck lies above the finished roof and is never reached. Lower it, or remove"
                " it.",
                (x, y),
            )
        )
    reached = {(f.edge, f.step) for f in faces}
    too_high = []
    for edge, stages in enumerate(prepared.stages):
        step = next((s for s in stages if s.step >= 0 and (edge, s.step) not in reached), None)
        if step is None:
            continue
        if step.step == 0:
            name = capital(edge_name(prepared.edge_at(edge)))
            out.append(
                (
                    f"{name} has its eave above the finished roof there: it is never reached and"
                    " the edge is only a wall. Lower this eave, or make the edge a gable.",
                    _middle(prepared, edge),
                )
            )
        elif any(
            (edge, s.step) not in reached and s.height + prepared.base > high for s in stages
        ):
            too_high.append(edge)
    if too_high:
        names = edge_names(prepared.edge_at(k) for k in too_high)
        has = "has" if len(too_high) == 1 else "have"
        out.append(
            (
                f"{capital(names)} {has} a step above the finished roof: it is never reached."
                " Lower the step, or remove it.",
                _middle(prepared, too_high[0]),
            )
        )
    return out


def _middle(prepared: Prepared, edge: int) -> tuple[float, float]:
    """The middle of an edge, plan, mm."""
    for ring, edges in zip(prepared.rings, prepared.edges, strict=True):
        if edge in edges:
            k = edges.index(edge)
            x, y = ((ring[k] + ring[(k + 1) % len(ring)]) / 2.0 + prepared.origin).tolist()
            return x, y
    raise IndexError(edge)
