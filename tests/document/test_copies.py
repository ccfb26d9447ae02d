"""Parts copied, mirrored, turned and aligned."""

from __future__ import annotations

import math

import numpy as np
import pytest

from roofmodel.document import BySlope, Project
from roofmodel.document.copies import (
    align_section,
    copy_part,
    mirror_copy,
    mirror_part,
    mirror_parts,
    rectangle,
    turn_parts,
)
from roofmodel.document.dormers import (
    FIRST_DEPTH_MM,
    Dormer,
    DormerKind,
    dormer_of,
    new_dormer,
    outline_of,
)
from roofmodel.document.drawing_edits import main_direction
from roofmodel.errors import DocumentError
from roofmodel.results import results_of
from roofmodel.surface import Plane
from tests.houses import (
    FT,
    GABLE,
    L_SHAPE,
    box,
    by_heights,
    by_slope,
    drawn_plane,
    opening,
    project,
    section,
)


def job() -> Project:
    return project(
        section(L_SHAPE, [0.5, GABLE, 0.5, 0.5, GABLE, 0.25]),
        drawn_plane(box(50, 0, 60, 10), by_slope(50, 0, 8, 0.25, 150.0), plane_id="p1"),
        drawn_plane(
            box(70, 0, 80, 10), by_heights((70, 0, 8), (80, 0, 8), (80, 10, 9)), plane_id="p2"
        ),
        opening(box(6, 4, 9, 7)),
    )


def corners_of(plane: Plane) -> list[list[float]]:
    """Its corners to the hundredth of a millimetre, in one order."""
    rounded = np.round(plane.outline, 2) + 0.0
    return sorted(rounded.tolist())


@pytest.mark.parametrize("part", ["s1", "p1", "p2", "o1"])
def test_mirrored_twice_is_as_before(part: str) -> None:
    a, b = (3.0 * FT, 1.0 * FT), (11.0 * FT, 5.0 * FT)
    before = job()
    there = mirror_part(before, part, a, b)
    assert there != before
    back = mirror_part(there, part, a, b)
    old, new = results_of(before).surface.planes, results_of(back).surface.planes
    assert len(old) == len(new)
    for p, q in zip(old, new, strict=True):
        assert (p.id, p.name) == (q.id, q.name)
        assert corners_of(p) == corners_of(q)


def test_pitches_go_with_their_mirrored_edges() -> None:
    """Over a north-south line east and west change places; gables and the flat side follow."""
    before = job().section("s1").rings[0]
    ring = mirror_part(job(), "s1", (0.0, 0.0), (0.0, 1.0)).section("s1").rings[0]
    slopes = {
        frozenset(((round(a[0]), round(a[1])), (round(b[0]), round(b[1])))): e.profile
        for a, b, e in zip(
            ring.corners, (*ring.corners[1:], ring.corners[0]), ring.edges, strict=True
        )
    }
    ends = zip(before.corners, (*before.corners[1:], before.corners[0]), before.edges, strict=True)
    for a, b, edge in ends:
        there = frozenset(((round(-a[0]), round(a[1])), (round(-b[0]), round(b[1]))))
        assert slopes[there] == edge.profile


def test_a_mirrored_plane_falls_the_mirrored_way() -> None:
    done = mirror_part(job(), "p1", (0.0, 0.0), (0.0, 1.0)).plane("p1")
    assert isinstance(done.lies, BySlope)
    assert done.lies.bearing == pytest.approx(210.0)
    assert done.lies.through == pytest.approx((-50 * FT, 0.0, 8 * FT))


def test_a_mirrored_roof_is_as_large() -> None:
    for degrees in (0.0, 33.0):
        end = (math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
        before, after = job(), job()
        for part in ("s1", "p1", "p2", "o1"):
            after = mirror_part(after, part, (0.0, 0.0), end)
        areas = [sum(p.true_area for p in results_of(x).surface.planes) for x in (before, after)]
        assert areas[1] == pytest.approx(areas[0])


def test_copies_have_names_and_ids_of_their_own() -> None:
    done, first = copy_part(job(), "s1", 100 * FT, 0.0)
    done, second = mirror_copy(done, "o1", (0.0, 0.0), (0.0, 1.0))
    assert (first, second) == ("s2", "o3") or len({first, second, "s1", "o1"}) == 4
    names = [s.name for s in done.sections()] + [o.name for o in done.openings()]
    assert len(set(names)) == 4
    assert done.section(first).rings[0].corners[0] == pytest.approx((100 * FT, 0.0))
    assert done.section("s1") is not done.section(first)
    with pytest.raises(DocumentError):
        copy_part(done, "s77", 0.0, 0.0)


def test_parts_turn_and_mirror_together_in_place() -> None:
    done = turn_parts(job(), ["s1", "o1"], 90.0)
    (x, y) = done.opening("o1").corners[0]
    # about (20, 20): (6, 4) goes to (20 + 16, 20 - 14)
    assert (x / FT, y / FT) == pytest.approx((36.0, 6.0))
    done = mirror_parts(job(), ["s1", "o1"], across=True)
    assert done.opening("o1").corners[0] == pytest.approx((34 * FT, 4 * FT))
    assert min(c[0] for c in done.section("s1").rings[0].corners) == pytest.approx(0.0)


def test_a_section_is_aligned_with_the_first_or_a_direction() -> None:
    turned = turn_parts(job(), ["s1"], 37.0)
    done = align_section(turned, "s1")
    assert main_direction(done.section("s1")) == pytest.approx(0.0, abs=1e-7)
    done = align_section(turned, "s1", 20.0)
    assert main_direction(done.section("s1")) == pytest.approx(20.0)
    both = project(
        section(box(0, 0, 40, 24), [0.5] * 4),
        turned.section("s1").__class__(
            "s2", "Wing", turned.section("s1").rings, ids_used=turned.section("s1").ids_used
        ),
    )
    done = align_section(both, "s2")
    assert main_direction(done.section("s2")) == pytest.approx(0.0, abs=1e-7)
    assert align_section(done, "s2") is done


def test_a_rectangle_by_three_points() -> None:
    a, b, c, d = rectangle((0.0, 0.0), (30.0, 40.0), (0.0, 50.0))
    assert (a, b) == ((0.0, 0.0), (30.0, 40.0))
    # (0, 50) lies 30 to the left of the side
    assert c == pytest.approx((6.0, 58.0))
    assert d == pytest.approx((-24.0, 18.0))
    with pytest.raises(DocumentError, match="one place"):
        rectangle((1.0, 1.0), (1.0, 1.0), (2.0, 2.0))


@pytest.mark.parametrize("kind", list(DormerKind))
def test_a_mirrored_dormer_stays_a_dormer(kind: DormerKind) -> None:
    """Over the line x = 5000: it stands as far on the other side and looks the other way across;
    its face and its back, away from where it looks, are known as before."""
    dormer = Dormer(kind, (1000.0, 2000.0), 150.0, width=1200.0, face=300.0)
    before, dormer_id = new_dormer(job(), dormer, 4000.0)
    after = mirror_part(before, dormer_id, (5000.0, 0.0), (5000.0, 1.0))
    found = dormer_of(after.section(dormer_id))
    assert found is not None
    assert found.front == pytest.approx((9000.0, 2000.0))
    assert found.bearing == pytest.approx(210.0)
    assert (found.kind, found.face) == (kind, 300.0)
    assert found.width == pytest.approx(1200.0)
    made, copy = mirror_copy(before, dormer_id, (5000.0, 0.0), (5000.0, 1.0))
    assert dormer_of(made.section(copy)) == found
    # the very outline that a dormer put there would have
    corners = outline_of(found, FIRST_DEPTH_MM)
    np.testing.assert_allclose(after.section(dormer_id).rings[0].corners, corners, atol=1e-6)
