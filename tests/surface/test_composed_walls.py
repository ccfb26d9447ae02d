"""Roofs against walls: sheds, lean-tos, towers, carports; feet, derived beside each."""

from __future__ import annotations

import math

import pytest

from roofmodel.systems import EdgeKind as K
from tests.houses import GABLE, RECTANGLE, box, section
from tests.surface.roof_asserts import (
    angle,
    check_edges,
    check_folds,
    check_planes,
    check_walls,
    ends,
    node,
    of_kind,
    roof,
    sf,
    square_bend,
)

F6, F3 = sf(0.5), sf(0.25)
HOUSE = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))


def test_e6_shed_against_a_wall() -> None:
    """Shed 30 × 14, 3/12, against the south wall of a house 30 × 24 whose eave is 8 high; the
    shed meets the wall 3.5 high."""
    s = roof(
        section(box(0, 14, 30, 38), (0.5, GABLE, 0.5, GABLE), eave_ft=8),
        section(box(0, 0, 30, 14), (0.25, GABLE, GABLE, GABLE), section_id="s2"),
    )
    check_planes(s, {"South 1": (360, 0.5), "North 1": (360, 0.5), "South 2": (30 * 14, 0.25)})
    check_edges(
        s,
        {
            K.RIDGE: [30],
            K.HEADWALL: [30],
            K.EAVE: [30, 30, 30],
            K.RAKE: [*[12 * F6] * 4, 14 * F3, 14 * F3],
        },
    )
    check_folds(s, K.HEADWALL, -(90 - angle(0.25)))
    assert ends(of_kind(s, K.HEADWALL)[0]) == ((0, 14, 3.5), (30, 14, 3.5))
    # the house's south wall shows from 3.5 to 8; the shed's sides are triangles 14 × 3.5
    gable = 24 * 8 + 24 * 6 / 2
    check_walls(
        s,
        {
            ("s1", "e1"): 30 * 4.5,
            ("s1", "e2"): gable,
            ("s1", "e3"): 240,
            ("s1", "e4"): gable,
            ("s2", "e2"): 24.5,
            ("s2", "e4"): 24.5,
        },
    )


def test_lean_to_in_the_inside_corner_of_two_storeys() -> None:
    """Two storeys, eave 18: 40 × 24 with a wing 16 wide, 20 proud (valleys 12, wing ridge 28).
    In the corner east of the wing a lean-to, 14 × 12, 3/12, eave 9: headwall at the house, 12
    high, sidewall at the wing."""
    s = roof(
        section(box(0, 12, 40, 36), (0.5, GABLE, 0.5, GABLE), eave_ft=18),
        section(box(4, -8, 20, 24), (GABLE, 0.5, GABLE, 0.5), section_id="s2", eave_ft=18),
        section(box(20, 0, 34, 12), (0.25, GABLE, GABLE, GABLE), section_id="s3", eave_ft=9),
    )
    side = 8 * 20 + 8 * 8 / 2
    check_planes(
        s,
        {
            "South 1": (480 - 64, 0.5),
            "North 1": (480, 0.5),
            "East 1": (side, 0.5),
            "West 1": (side, 0.5),
            "South 2": (14 * 12, 0.25),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 28],
            K.VALLEY: [12, 12],
            K.HEADWALL: [14],
            K.SIDEWALL: [12 * F3],
            K.EAVE: [4, 20, 40, 20, 20, 14],
            K.RAKE: [*[12 * F6] * 4, *[8 * F6] * 2, 12 * F3],
        },
    )
    check_folds(s, K.HEADWALL, -(90 - angle(0.25)))
    check_folds(s, K.SIDEWALL, -90.0)
    assert node(s, 20, 12) == "wall corner, valley foot"
    # south wall of the house: 4 wide west of the wing, 14 × 6 above the lean-to, 6 wide beside;
    # east wall of the wing: 8 × 18 in front, 12 wide from 9 + y/4 to 18
    gable = 24 * 18 + 72
    check_walls(
        s,
        {
            ("s1", "e1"): 4 * 18 + 14 * 6 + 6 * 18,
            ("s1", "e2"): gable,
            ("s1", "e3"): 40 * 18,
            ("s1", "e4"): gable,
            ("s2", "e1"): 16 * 18 + 16 * 4 / 2,
            ("s2", "e2"): 8 * 18 + 12 * 9 - 12 * 3 / 2,
            ("s2", "e4"): 20 * 18,
            ("s3", "e1"): 14 * 9,
            ("s3", "e2"): 12 * 9 + 12 * 3 / 2,
        },
    )


def test_wrap_around_porch() -> None:
    """A house 30 × 24, eave 18; around its south-west corner a porch 8 deep, 3/12, eave 7: its
    hip runs from its own corner to the house's, 9 high, √(8² + 8² + 2²)."""
    corners = ((-8, -8), (20, -8), (20, 0), (0, 0), (0, 14), (-8, 14))
    s = roof(
        section(box(0, 0, 30, 24), (0.5, GABLE, 0.5, GABLE), eave_ft=18),
        section(corners, (0.25, GABLE, GABLE, GABLE, GABLE, 0.25), section_id="s2", eave_ft=7),
    )
    check_planes(
        s,
        {
            "South 1": (360, 0.5),
            "North 1": (360, 0.5),
            "South 2": ((28 + 20) / 2 * 8, 0.25),
            "West 1": ((22 + 14) / 2 * 8, 0.25),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [30],
            K.HIP: [math.sqrt(132)],
            K.HEADWALL: [20, 14],
            K.EAVE: [30, 30, 28, 22],
            K.RAKE: [*[12 * F6] * 4, 8 * F3, 8 * F3],
        },
    )
    check_folds(s, K.HIP, square_bend(0.25, 0.25))
    check_folds(s, K.HEADWALL, -(90 - angle(0.25)))
    assert ends(of_kind(s, K.HIP)[0]) == ((-8, -8, 7), (0, 0, 9))


def test_gable_garage_against_a_wall() -> None:
    """A garage 16 wide, 6/12, eave 8, ridge 12, runs square into the gable wall of a house whose
    eave is 18: its slopes end in sidewalls, its ridge at the wall."""
    s = roof(
        section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=18),
        section(box(40, 4, 60, 20), (0.5, GABLE, 0.5, GABLE), section_id="s2", eave_ft=8),
    )
    check_planes(
        s, {f"{way} {k}": ((480, 160)[k - 1], 0.5) for way in ("South", "North") for k in (1, 2)}
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 20],
            K.SIDEWALL: [8 * F6] * 2,
            K.EAVE: [40, 40, 20, 20],
            K.RAKE: [*[12 * F6] * 4, 8 * F6, 8 * F6],
        },
    )
    assert node(s, 40, 12) == "ridge end at a wall, ridge end at a gable"
    # the garage covers 16·8 + 16·4/2 of the house's gable wall
    gable = 24 * 18 + 72
    garage = 16 * 8 + 16 * 4 / 2
    check_walls(
        s,
        {
            ("s1", "e1"): 720,
            ("s1", "e2"): gable - garage,
            ("s1", "e3"): 720,
            ("s1", "e4"): gable,
            ("s2", "e1"): 160,
            ("s2", "e2"): garage,
            ("s2", "e3"): 160,
        },
    )


@pytest.mark.parametrize("overhang", [0.0, 1.0])
def test_stepped_row(overhang: float) -> None:
    """Two houses of a row, 20 × 24 each, 6/12, eaves 8 and 10: the lower one ends in sidewalls at
    the step, 24 × 2, whether the higher one's rakes overhang it or not."""
    s = roof(
        section(box(0, 0, 20, 24), (0.5, GABLE, 0.5, GABLE), eave_ft=8),
        section(
            box(20, 0, 40, 24),
            (0.5, GABLE, 0.5, GABLE),
            section_id="s2",
            eave_ft=10,
            overhangs_ft=(0, 0, 0, overhang),
            line="wall",
        ),
    )
    more = 12 * (20 + overhang)
    check_planes(
        s,
        {
            "South 1": (240, 0.5),
            "North 1": (240, 0.5),
            "South 2": (more, 0.5),
            "North 2": (more, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [20, 20 + overhang],
            K.SIDEWALL: [12 * F6] * 2,
            K.EAVE: [20, 20, 20 + overhang, 20 + overhang],
            K.RAKE: [12 * F6] * 6,
        },
    )
    check_folds(s, K.SIDEWALL, -90.0)
    low, high = (24 * h + 72 for h in (8, 10))
    check_walls(
        s,
        {
            ("s1", "e1"): 160,
            ("s1", "e3"): 160,
            ("s1", "e4"): low,
            ("s2", "e1"): 200,
            ("s2", "e2"): high,
            ("s2", "e3"): 200,
            ("s2", "e4"): 48,
        },
    )
