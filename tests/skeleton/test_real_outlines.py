"""The solver on real building footprints, against pysfcgal live.

The footprints are the open data set "bubenec" (OpenStreetMap contributors) that the PyPI package
momepy ships, in metres of its web projection. pysfcgal's weighted call is slow, so pitches of
their own are compared on the smaller ones.
"""

from __future__ import annotations

import random

import numpy as np
import pytest

from roofmodel.geometry import signed_area
from tests.skeleton.random_outlines import Ring
from tests.skeleton.reference import is_unique, our_areas, reference_areas

pyogrio = pytest.importorskip("pyogrio")
momepy = pytest.importorskip("momepy")

LARGEST = 40
"""Corners of the largest outline compared: the library takes a second for each beyond."""


def outlines() -> list[Ring]:
    """Outer rings of all footprints, counter-clockwise, moved near the origin."""
    frame = pyogrio.read_dataframe(momepy.datasets.get_path("bubenec"), layer="buildings")
    out = []
    for shape in frame.geometry:
        ring = np.array(shape.exterior.coords)[:-1]
        ring -= ring.mean(axis=0)
        if signed_area(ring) < 0:
            ring = ring[::-1]
        out.append([(float(x), float(y)) for x, y in ring])
    return out


OUTLINES = outlines()


def agree(ring: Ring, slopes: list[float]) -> None:
    theirs, ours = reference_areas(ring, slopes), our_areas(ring, slopes)
    total = signed_area(ring)
    for gradient in theirs:
        area = around(gradient, theirs)
        assert around(gradient, ours) == pytest.approx(area, abs=2e-6 * total)
    assert sum(ours.values()) == pytest.approx(total, rel=1e-9)


def around(gradient: tuple[float, ...], areas: dict[tuple[float, ...], float]) -> float:
    """Area of the planes with this gradient, to rounding: walls are parallel only nearly."""
    near = (g for g in areas if max(abs(x - y) for x, y in zip(g, gradient, strict=True)) < 3e-5)
    return sum(areas[g] for g in near)


def test_there_are_footprints() -> None:
    assert len(OUTLINES) == 144


@pytest.mark.parametrize("block", range(12))
def test_equal_pitch(block: int) -> None:
    compared = 0
    for ring in OUTLINES[block::12]:
        if len(ring) <= LARGEST:
            agree(ring, [0.5] * len(ring))
            compared += 1
    assert compared > 8


@pytest.mark.parametrize("block", range(12))
def test_pitches_of_their_own(block: int) -> None:
    compared = 0
    for k, ring in enumerate(OUTLINES[block::12]):
        rnd = random.Random(block * 100 + k)
        slopes = [rnd.randint(3, 12) / 12.0 for _ in ring]
        if len(ring) <= LARGEST and is_unique(ring, slopes):
            agree(ring, slopes)
            compared += 1
    assert compared > 0
