"""Sides rounded to whole inches, closed again; against lengths known by hand. Inches."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from roofmodel.document import Project
from roofmodel.document.part_edits import turn_part
from roofmodel.document.rounding import round_outline
from roofmodel.errors import DocumentError
from tests.houses import project, section

IN = 25.4


def job(corners_in: Sequence[tuple[float, float]]) -> Project:
    corners = [(x / 12, y / 12) for x, y in corners_in]
    return project(section(corners, [0.5] * len(corners)))


def sides(done: Project) -> np.ndarray:
    corners = np.array(done.section("s1").rings[0].corners) / IN
    steps = np.roll(corners, -1, axis=0) - corners
    found: np.ndarray = np.hypot(steps[:, 0], steps[:, 1])
    return found


ELL = [(0, 0), (480.4, 0), (480.4, 288.3), (192.0, 288.3), (192.0, 480.4), (0, 480.4)]


def test_a_rectangle() -> None:
    done = round_outline(job([(0, 0), (480.4, 0), (480.4, 287.7), (0, 287.7)]), "s1")
    assert sides(done.project) == pytest.approx([480, 288, 480, 288], abs=1e-6)
    assert (done.changed, done.broken) == (4, 0)
    assert done.most == pytest.approx(0.4 * IN)


@pytest.mark.parametrize("degrees", [0.0, 30.0, 211.7])
def test_an_l_closes_in_whole_inches(degrees: float) -> None:
    """Across 480.4 = 288.4 + 192: 480, 288, 192 close. Along 288.3 + 192.1 = 480.4 too."""
    turned = turn_part(job(ELL), "s1", degrees, (0.0, 0.0))
    done = round_outline(turned, "s1")
    assert sides(done.project) == pytest.approx([480, 288, 288, 192, 192, 480], abs=1e-5)
    assert done.broken == 0
    before, after = (np.array(p.section("s1").rings[0].corners) for p in (turned, done.project))
    assert after[0] == pytest.approx(before[0])
    for old, new in zip(np.roll(before, -1, 0) - before, np.roll(after, -1, 0) - after,
                        strict=True):  # fmt: skip
        assert math.atan2(*new) == pytest.approx(math.atan2(*old), abs=1e-6)


def test_an_inch_that_does_not_close_goes_to_the_side_rounded_most() -> None:
    """100.8 = 60.4 + 40.4 rounds to 101, 60 and 40: one inch open. 60 and 40 are 0.4 short, and
    as 61 or 41 they would be 0.6 long; 100 would be 0.8 short. The first of the two takes it."""
    done = round_outline(
        job([(0, 0), (100.8, 0), (100.8, 50), (60.4, 50), (60.4, 90), (0, 90)]), "s1"
    )
    found = sides(done.project)
    assert found[0] == pytest.approx(101)
    assert sorted((found[2], found[4])) == pytest.approx([41, 60])
    assert done.broken == 0


def test_slanting_sides_share_what_whole_inches_cannot_close() -> None:
    """A bay at 45 degrees: its sides are no whole inches as long as the others are."""
    before = job([(0, 0), (120.2, 0), (120.2, 60.3), (100.2, 80.3), (20.2, 80.3), (0, 60.1)])
    done = round_outline(before, "s1")
    assert done.broken > 0
    assert np.abs(sides(done.project) - sides(before)).max() < 1.0
    assert round_outline(before, "s1", IN / 16).most < IN / 8


def test_round_already_changes_nothing_and_bad_steps_are_refused() -> None:
    whole = job([(0, 0), (480, 0), (480, 288), (0, 288)])
    done = round_outline(whole, "s1")
    assert done.project is whole
    assert done.changed == 0
    with pytest.raises(DocumentError, match="more than 0"):
        round_outline(whole, "s1", 0.0)
