"""Lists for the shop: panels for the roll former by bundle, every piece of trim."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roofmodel.document import Units
from roofmodel.sheets.panel_sheet import mark_words
from roofmodel.sheets.panel_words import cut_to_shape_words
from roofmodel.sheets.shop_words import metal_words, weight_words
from roofmodel.sheets.trim_words import end_words, for_words, hem_words, stock_words
from roofmodel.sheets.types import Amount, Cell, Column, Table
from roofmodel.shop.job import ShopJob
from roofmodel.shop.panel_shapes import PanelShape
from roofmodel.shop.pieces import bundles_of, panel_weight
from roofmodel.takeoff import covering_names, cut_words


def roll_forming_table(job: ShopJob) -> Table:
    """One row for panels of one length and the same ends in a bundle, in laying order: quantity,
    length, the lengths of both sides where an end is not square, marks, plane, bundle, what else
    they are cut to, what they weigh together. Panels that are cut to another shape have a row of
    their own."""
    names, units = covering_names(job.project), job.project.units
    rows: list[tuple[Cell, ...]] = []
    for bundle in bundles_of(job):
        for group in _alike(bundle.shapes, units):
            first = group[0]
            rows.append(
                (
                    Amount(bundle.number, "count"),
                    bundle.plane_name,
                    Amount(len(group), "count"),
                    Amount(first.length, "mm"),
                    *_sides(first),
                    mark_words(group),
                    cut_words(first.panel.lower),
                    cut_words(first.panel.upper),
                    cut_to_shape_words(first, units),
                    Amount(math.fsum(panel_weight(s, job.project) for s in group), "kg"),
                    names[bundle.system],
                )
            )
    count = sum(1 for _ in job.shapes)
    total = sum(s.length for s in job.shapes)
    weight = math.fsum(panel_weight(s, job.project) for s in job.shapes)
    return Table(
        "Roll forming",
        (
            Column("Bundle", "count"),
            Column("Plane"),
            Column("Quantity", "count"),
            Column("Length", "mm", to_cut=True),
            Column("Left side", "mm", to_cut=True),
            Column("Right side", "mm", to_cut=True),
            Column("Marks"),
            Column("Lower end"),
            Column("Upper end"),
            Column("Cut to shape"),
            Column("Weight", "kg"),
            Column("Panel"),
        ),
        tuple(rows),
        (
            *("Total", "", Amount(count, "count"), Amount(total, "mm"), *6 * ("",)),
            *(Amount(weight, "kg"), ""),
        )
        if rows
        else None,
    )


def bundles_table(job: ShopJob) -> Table:
    """One row per bundle: plane, panels, longest, weight, whether that is over the lift."""
    names, units = covering_names(job.project), job.project.units
    lift = job.project.shop.lift_weight
    bundles = bundles_of(job)
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            Amount(b.number, "count"),
            b.plane_name,
            Amount(len(b.shapes), "count"),
            Amount(b.longest, "mm"),
            Amount(b.weight, "kg"),
            f"over the lift: {weight_words(b.weight, units)}" if b.is_over(lift) else "",
            names[b.system],
        )
        for b in bundles
    )
    weight = sum(b.weight for b in bundles)
    count = sum(len(b.shapes) for b in bundles)
    return Table(
        "Bundles",
        (
            Column("Bundle", "count"),
            Column("Plane"),
            Column("Panels", "count"),
            Column("Longest", "mm", to_cut=True),
            Column("Weight", "kg"),
            Column("Lift"),
            Column("Panel"),
        ),
        rows,
        ("Total", "", Amount(count, "count"), "", Amount(weight, "kg"), "", "") if rows else None,
    )


def blanks_table(job: ShopJob) -> Table:
    """One row per different blank of trim and per saddle: quantity, girth, finished length, what
    it is cut to from stock before its ends are, ends, what it is for."""
    units = job.project.units
    rows: list[tuple[Cell, ...]] = []
    for drawing in job.trim:
        blank = drawing.blank
        profile = blank.profile
        rows.append(
            (
                drawing.name,
                Amount(drawing.count, "count"),
                Amount(blank.girth, "mm"),
                Amount(float(blank.outline[:, 1].max()), "mm"),
                stock_words(drawing.blanks, units),
                end_words(blank.start, units),
                end_words(blank.end, units),
                hem_words(profile.start_hem, profile.end_hem, units),
                metal_words(profile.metal, units),
                for_words(drawing.blanks),
            )
        )
    for saddle in job.saddles:
        what = "net of the roof's planes, without turn-ups, flanges and seams"
        rows.append(
            (
                saddle.name,
                Amount(1, "count"),
                Amount(saddle.width, "mm"),
                Amount(saddle.length, "mm"),
                "flat sheet, net: add turn-ups, flanges and seams",
                "",
                "",
                "",
                what,
                saddle.opening,
            )
        )
    count = sum(d.count for d in job.trim) + len(job.saddles)
    return Table(
        "Trim",
        (
            Column("Part"),
            Column("Quantity", "count"),
            Column("Girth", "mm", to_cut=True),
            Column("Finished length", "mm", to_cut=True),
            Column("Cut from stock"),
            Column("Left end"),
            Column("Right end"),
            Column("Hems"),
            Column("Metal"),
            Column("For"),
        ),
        tuple(rows),
        ("Total", Amount(count, "count"), "", "", "", "", "", "", "", "") if rows else None,
    )


def _alike(shapes: Sequence[PanelShape], units: Units) -> list[list[PanelShape]]:
    """Panels of a bundle that are formed to one length with the same ends and cut to shape in the
    same words, in laying order."""
    groups: dict[tuple[object, ...], list[PanelShape]] = {}
    for shape in shapes:
        ends = (cut_words(shape.panel.lower), cut_words(shape.panel.upper))
        sides = [round(x.value, 1) for x in _sides(shape) if isinstance(x, Amount)]
        words = cut_to_shape_words(shape, units)
        groups.setdefault((round(shape.length, 2), *ends, words, *sides), []).append(shape)
    return list(groups.values())


def _sides(shape: PanelShape) -> tuple[Cell, Cell]:
    """How long a sheet is along its left and its right border; nothing where both its ends are
    square."""
    if shape.panel.lower.shape == shape.panel.upper.shape == "square":
        return "", ""
    return Amount(shape.left, "mm"), Amount(shape.right, "mm")
