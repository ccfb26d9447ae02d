"""The names of the drawings that trim is cut by, which stay what they were released as.

A shop that has begun has cut pieces with these names on them. So a released drawing keeps its
name while its shape is there, and a name whose shape is gone is never given to another.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from roofmodel.document.releases import (
    ALIKE_DEG,
    ALIKE_MM,
    Release,
    ReleasedPiece,
    cut_alike,
)
from roofmodel.parts import folded
from roofmodel.shop.blanks import Blank

_TENTH: Final = 1
_HUNDREDTH: Final = 2


def blank_piece(blank: Blank, drawing: str | None = None) -> ReleasedPiece:
    """A blank as it is released."""
    profile = blank.profile
    return ReleasedPiece(
        "trim",
        blank.name,
        blank.run.part,
        round(float(blank.outline[:, 1].max()), _HUNDREDTH),
        round(blank.girth, _HUNDREDTH),
        tuple(round(v, _TENTH) + 0.0 for v in blank.outline.ravel().tolist()),
        tuple(round(b.angle if b.direction == "up" else -b.angle, _TENTH) for b in blank.bends),
        gauge=profile.metal.gauge,
        thickness=round(profile.metal.thickness, _HUNDREDTH + 2),
        painted=profile.painted,
        hems="; ".join(
            f"{h.kind} {h.to} {h.width:.1f} {h.gap:.1f}" if h else "none"
            for h in (profile.start_hem, profile.end_hem)
        ),
        drawing=drawing,
    )


def drawing_numbers(
    part: str, groups: Sequence[Sequence[Blank]], releases: Sequence[Release]
) -> list[tuple[int, str]]:
    """A number and a name for each group of blanks of one part that are cut alike, in the groups'
    order.

    A group that is cut as a released drawing keeps its number; one of another shape gets one
    above all that the part ever had. The only drawing of a part has no number in its name, and
    keeps that once it is released: its number is 1.
    """
    title = part[:1].upper() + part[1:]
    known = _released(title, part, releases)
    if not known:
        return [(k, f"{title} {k}" if len(groups) > 1 else title) for k in _counted(groups)]
    kept = _kept(groups, {number: pieces for number, (_, pieces) in known.items()})
    free, out = max(known), []
    for k in range(len(groups)):
        number = kept.get(k)
        if number is None:
            free += 1
            out.append((free, f"{title} {free}"))
        else:
            out.append((number, known[number][0]))
    return out


def was_bent_otherwise(blank: Blank, releases: Sequence[Release]) -> bool:
    """Was any piece of the blank's part ever released with another section than it has?"""
    bent = folded(blank.profile, blank.fold)
    turns = [b.angle if b.direction == "up" else -b.angle for b in bent.bends]
    pieces = (p for r in releases for p in r.pieces if p.what == "trim")
    return any(
        abs(p.width - bent.girth) > ALIKE_MM
        or len(p.bends) < len(turns)  # those of turned corners come behind the section's
        or any(abs(a - b) > ALIKE_DEG for a, b in zip(p.bends, turns, strict=False))
        for p in pieces
        if p.part == blank.run.part
    )


def _counted(groups: Sequence[Sequence[Blank]]) -> range:
    return range(1, len(groups) + 1)


def _released(
    title: str, part: str, releases: Sequence[Release]
) -> dict[int, tuple[str, list[ReleasedPiece]]]:
    """Every number that the part's drawings ever had, with the name and the pieces cut by it."""
    named = re.compile(rf"{re.escape(title)}(?: (\d+))?")
    known: dict[int, tuple[str, list[ReleasedPiece]]] = {}
    for release in reversed(releases):
        for piece in release.pieces:
            if piece.what != "trim" or piece.part != part or piece.drawing is None:
                continue
            if (found := named.fullmatch(piece.drawing)) is not None:
                number = int(found[1] or 1)
                known.setdefault(number, (piece.drawing, []))[1].append(piece)
    return known


def _kept(
    groups: Sequence[Sequence[Blank]], known: dict[int, list[ReleasedPiece]]
) -> dict[int, int]:
    """Groups (by their order) with the number they keep. Where a group is within what can be cut
    of several drawings, or two groups of one, those with most pieces at their old marks fit."""
    pieces = [[blank_piece(b) for b in group] for group in groups]
    fits: list[tuple[int, int, int]] = []
    for k, some in enumerate(pieces):
        marks = {p.mark for p in some}
        for number, then in known.items():
            if abs(some[0].length - then[0].length) > 4.0 * ALIKE_MM:
                continue
            if any(cut_alike(was, now) for now in some for was in then):
                fits.append((-len(marks & {p.mark for p in then}), number, k))
    kept: dict[int, int] = {}
    taken: set[int] = set()
    for _, number, k in sorted(fits):
        if k not in kept and number not in taken:
            kept[k] = number
            taken.add(number)
    return kept
