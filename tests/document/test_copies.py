"""Parts copied, mirrored, turned and aligned."""

from __future__ import annotations

import math

import numpy as np
import pytest

from roofmodel.document import BySlope, Project
from roofmodel.document.copies import (
    COPY_GAP_MM,
    align_section,
    copy_part,
    mirror_copies,
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


def extent(made: Project, part: str) -> list[float]:
    """Its least and greatest x and y, feet."""
    corners = np.array(made.section(part).rings[0].corners) / FT
    return [*corners.min(axis=0).tolist(), *corners.max(axis=0).tolist()]


def winged() -> Project:
    """A house of 40 by 24 ft with a wing at its west end and a dormer in its south-west."""
    return project(
        section(box(-10, 2, 2, 14), [0.5, GABLE, 0.5, GABLE], section_id="s2"),
        section(box(0, 0, 40, 24), [0.5] * 4),
        section(box(5, 4, 11, 10), [GABLE, 0.5, GABLE, 0.5], section_id="s3"),
    )


def test_a_wing_is_copied_to_the_other_side_of_the_house() -> None:
    before = winged()
    across, copies, about = mirror_copies(before, ["s2", "s3"], across=True)
    assert (list(copies), about) == (["s2", "s3"], before.section("s1").name)
    # over x = 20: -10 goes to 50, 2 to 38; 5 to 35, 11 to 29
    assert extent(across, copies["s2"]) == pytest.approx([38, 2, 50, 14])
    assert extent(across, copies["s3"]) == pytest.approx([29, 4, 35, 10])
    assert across.sections()[:3] == before.sections()
    along, copies, _ = mirror_copies(before, ["s3"], across=False)
    # over y = 12: 4 goes to 20, 10 to 14
    assert extent(along, copies["s3"]) == pytest.approx([5, 14, 11, 20])


@pytest.mark.parametrize("degrees", [30.0, -20.0])
def test_the_middle_turns_with_the_house(degrees: float) -> None:
    straight, copies, _ = mirror_copies(winged(), ["s2"], across=True)
    wanted = turn_parts(straight, ["s1", "s2", "s3", copies["s2"]], degrees)
    turned = turn_parts(winged(), ["s1", "s2", "s3"], degrees)
    found, copies, _ = mirror_copies(turned, ["s2"], across=True)
    at = np.array(turned.section("s1").rings[0].corners).mean(axis=0)
    middle = np.array(wanted.section("s1").rings[0].corners).mean(axis=0)
    np.testing.assert_allclose(
        np.array(found.section(copies["s2"]).rings[0].corners) - at,
        np.array(wanted.section(copies["s2"]).rings[0].corners) - middle,
        atol=1e-6,
    )


def test_a_copy_that_would_fall_on_a_part_is_refused() -> None:
    made, copies, _ = mirror_copies(winged(), ["s2"], across=True)
    for part in ("s2", copies["s2"]):
        with pytest.raises(DocumentError, match=r"would fall on .*both sides"):
            mirror_copies(made, [part], across=True)
    porch = project(
        section(box(0, 0, 40, 24), [0.5] * 4),
        section(box(15, -8, 25.2, 2), [GABLE, 0.5, GABLE, 0.5], section_id="s2"),
    )
    with pytest.raises(DocumentError, match="lies across the middle of"):
        mirror_copies(porch, ["s2"], across=True)
    # to the north it can go: -8 to 32, 2 to 22
    made, copies, _ = mirror_copies(porch, ["s2"], across=False)
    assert extent(made, copies["s2"]) == pytest.approx([15, 22, 25.2, 32])
    with pytest.raises(DocumentError, match="Select a section"):
        mirror_copies(porch, [], across=True)


def test_a_house_alone_gets_its_mirrored_copy_beside_it() -> None:
    alone = project(section(L_SHAPE, [0.5] * 6))
    left, bottom, right, top = extent(alone, "s1")
    gap = COPY_GAP_MM / FT
    made, copies, about = mirror_copies(alone, ["s1"], across=True)
    assert about == ""
    wide = right - left
    assert extent(made, copies["s1"]) == pytest.approx(
        [right + gap, bottom, right + gap + wide, top]
    )
    made, copies, _ = mirror_copies(alone, ["s1"], across=False)
    assert extent(made, copies["s1"])[1] == pytest.approx(top + gap)


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
