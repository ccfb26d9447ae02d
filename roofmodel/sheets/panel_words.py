"""What is said of panels that are cut to a shape: their width, their lap leg, what is cut out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.systems import RoofingSystem
from roofmodel.tolerance import HEAL_MM
from roofmodel.units import LengthUnits, format_length


def is_cut_to_shape(shape: PanelShape) -> bool:
    """Is it more than a whole sheet whose ends are cut square or along one line? Then it is drawn
    by itself."""
    ends = (shape.panel.lower.shape, shape.panel.upper.shape)
    return bool(shape.is_ripped or is_notched(shape) or shape.holes or "shaped" in ends)


def is_notched(shape: PanelShape) -> bool:
    """Is something cut out at one of its sides?"""
    if not shape.notches:  # the ends are such that what is missing cannot be told from them
        return shape.panel.notched and not shape.holes
    boxes = [(*h.min(axis=0).tolist(), *h.max(axis=0).tolist()) for h in shape.holes]
    return any(
        all(np.abs(np.subtract(notch, box)).max() > HEAL_MM for box in boxes)
        for notch in shape.notches
    )


def cut_to_shape_words(shape: PanelShape, units: LengthUnits) -> str:
    """Beside its length and its ends: notched, holes, width; empty where nothing is to be said."""
    said = ["notched"] if is_notched(shape) else []
    if shape.holes:
        said.append("hole" if len(shape.holes) == 1 else f"{len(shape.holes)} holes")
    if shape.is_ripped:
        said.append(width_words(shape, units))
    if "shaped" in (shape.panel.lower.shape, shape.panel.upper.shape):
        said.append("shaped end")
    return ", ".join(said)


def width_words(shape: PanelShape, units: LengthUnits) -> str:
    """How wide it is, and why."""
    width = format_length(shape.width, units)
    if not shape.is_ripped:
        return f"whole width, {width}"
    if is_lap_only(shape):
        return f"lap leg cut off, {width} wide"
    if pointed_sides(shape):
        return f"{width} wide, to a point"
    return f"cut to {width} wide"


def is_lap_only(shape: PanelShape) -> bool:
    """Does only its lap leg come off?"""
    at = int(shape.lap_side == "right")
    off = shape.cut_off
    return off[1 - at] == 0.0 and shape.lap_leg > 0.0 and abs(off[at] - shape.lap_leg) <= HEAL_MM


def pointed_sides(shape: PanelShape) -> tuple[str, ...]:
    """The sides at which it runs out in a point before the sheet's own width."""
    sides = (("left", shape.left), ("right", shape.right))
    return tuple(
        name
        for (name, size), off in zip(sides, shape.cut_off, strict=True)
        if off > 0.0 and size <= HEAL_MM
    )


def ripped_sides(shape: PanelShape) -> tuple[str, ...]:
    """The sides along which the sheet is cut narrower."""
    sides = zip(("left", "right"), shape.cut_off, strict=True)
    cut = tuple(name for name, off in sides if off > 0.0)
    return tuple(name for name in cut if name not in pointed_sides(shape))


def lap_words(shape: PanelShape, units: LengthUnits) -> str:
    """Where its lap leg is, if it has one left; empty where the sheet has none, or where its width
    says it."""
    if shape.lap_leg <= 0.0 or is_lap_only(shape):
        return ""
    if shape.lap_kept <= HEAL_MM:
        return "without its lap leg"
    if shape.lap_kept < shape.lap_leg - HEAL_MM:
        left = format_length(shape.lap_kept, units)
        return f"lap leg on the {shape.lap_side} cut to {left}"
    return f"lap leg on the {shape.lap_side}"


def is_seamed(system: RoofingSystem) -> bool:
    """Is its width that between seams, whose legs are formed beyond it?"""
    return system.panel.fastening == "clips" and system.lap_leg <= HEAL_MM


def seam_notes(
    system: RoofingSystem, shapes: Sequence[PanelShape], units: LengthUnits
) -> Iterator[str]:
    """From where the width of seamed panels counts, and what is to be added where they are cut."""
    if not is_seamed(system):
        return
    yield seam_words(system, units)
    if any(ripped_sides(s) for s in shapes):
        yield from folded_notes(system, units)


def seam_words(system: RoofingSystem, units: LengthUnits) -> str:
    """From where the width of a seamed panel counts."""
    coverage = format_length(system.coverage, units)
    return (
        f"Widths are coverage, {coverage} from seam line to seam line, before the legs are formed;"
        " what is cut out is measured from the seam line."
    )


def folded_notes(system: RoofingSystem, units: LengthUnits) -> Iterator[str]:
    """What a seamed panel wants where it is cut along its length."""
    hems = {kind: hem for kind, hem in system.hems.items() if kind in ("rake", "sidewall")}
    said = [f"{format_length(hem, units)} at a {k}" for k, hem in hems.items() if hem > 0.0]
    if said:
        yield f"Widths include what is folded up: {' and '.join(said)}."
    else:
        yield (
            "The width of a panel beside a rake or wall is that to it: add what the maker's detail"
            " folds up there."
        )
