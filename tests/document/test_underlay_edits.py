"""Place, turn, scale and order of what lies under the plan."""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.document import Project, Underlay
from roofmodel.document import underlay_edits as edits
from roofmodel.document.underlays import KnownDistance
from roofmodel.errors import DocumentError
from roofmodel_io.defaults import default_project

PICTURE = Underlay("u", "roof.png", 800, 600, 20.0, (-8000.0, 6000.0))
PLACES = st.floats(-1e5, 1e5)


def with_picture(underlay: Underlay = PICTURE) -> Project:
    return edits.new_underlay(default_project(), underlay)[0]


def only(project: Project) -> Underlay:
    (underlay,) = project.underlays
    return underlay


@given(PLACES, PLACES, st.floats(-180, 180), st.floats(0.01, 1e4))
def test_there_and_back(x: float, y: float, turn: float, scale: float) -> None:
    u = Underlay("u", "a.png", 100, 50, scale, (x, y), turn)
    pixels = np.array([[0.0, 0.0], [100.0, 50.0], [-3.0, 20.0]])
    np.testing.assert_allclose(u.to_pixels(u.to_plan(pixels)), pixels, atol=1e-5)


def test_ids_go_up() -> None:
    project, first = edits.new_underlay(default_project(), PICTURE)
    project, second = edits.new_underlay(project, PICTURE)
    assert (first, second) == ("u1", "u2")


def test_turning_keeps_the_centre() -> None:
    project = edits.turn_underlay(with_picture(), "u1", 450.0)
    u = only(project)
    assert u.turn == 90.0
    assert edits.centre_of(u) == pytest.approx((0.0, 0.0), abs=1e-9)
    # its left edge points down after a quarter turn counter-clockwise
    np.testing.assert_allclose(
        u.corners(), [[-6000, -8000], [-6000, 8000], [6000, 8000], [6000, -8000]], atol=1e-9
    )


def test_place_by_numbers() -> None:
    u = only(edits.place_underlay(with_picture(), "u1", (100.0, -50.0)))
    assert u.origin == (-7900.0, 5950.0)


def test_house_made_square() -> None:
    """An eave drawn at 30 degrees comes to lie level; its first end stays."""
    end = (1000 + 5000 * math.cos(math.radians(30)), 5000 * math.sin(math.radians(30)))
    before = with_picture()
    pixels = PICTURE.to_pixels([(1000.0, 0.0), end])
    u = only(edits.square_underlay(before, "u1", [((1000.0, 0.0), end)]))
    assert u.turn == pytest.approx(-30.0)
    np.testing.assert_allclose(u.to_plan(pixels), [[1000, 0], [6000, 0]], atol=1e-6)


def test_one_distance_then_a_better_one() -> None:
    project = edits.add_distance(with_picture(), "u1", (0.0, 0.0), (1000.0, 0.0), 2000.0)
    u = only(project)
    assert (u.mm_per_pixel, u.scaled) == (40.0, True)
    assert u.to_pixels((0.0, 0.0)).tolist() == pytest.approx([400.0, 300.0])  # stays
    # 100 pixels straight up measured as 4100: (50*2000 + 100*4100) / (2500 + 10000) = 40.8
    top = tuple(u.to_plan((400.0, 200.0)).tolist())
    project = edits.add_distance(project, "u1", (0.0, 0.0), top, 4100.0)
    u = only(project)
    assert u.mm_per_pixel == pytest.approx(40.8)
    fit = edits.fit_of(u.distances)
    np.testing.assert_allclose(fit.residuals, [40.0, -20.0], atol=1e-9)
    project = edits.remove_distance(project, "u1", 0)
    assert only(project).mm_per_pixel == pytest.approx(41.0)
    project = edits.remove_distance(project, "u1", 0)
    assert only(project).mm_per_pixel == pytest.approx(41.0)
    assert only(project).distances == ()


def test_typed_scale_keeps_the_centre_and_forgets_distances() -> None:
    project = edits.add_distance(with_picture(), "u1", (0.0, 0.0), (1000.0, 0.0), 2000.0)
    u = only(edits.set_scale(project, "u1", 10.0))
    assert (u.mm_per_pixel, u.distances) == (10.0, ())
    assert edits.centre_of(u) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_pictures_with_a_place_lie_side_by_side() -> None:
    """Two tiles of one aerial picture, the second 10 m to the east of the first."""
    left = msgspec.structs.replace(PICTURE, world=(5e8, 4e9))
    right = msgspec.structs.replace(PICTURE, world=(5e8 + 16000.0, 4e9 - 250.0))
    project = edits.move_underlay(with_picture(left), "u1", (1.0, 2.0))
    project, _ = edits.new_underlay(project, right)
    (ax, ay), (bx, by) = (u.origin for u in project.underlays)
    assert (bx - ax, by - ay) == (16000.0, -250.0)
    far = msgspec.structs.replace(PICTURE, world=(0.0, 0.0))
    project, _ = edits.new_underlay(project, far)
    assert project.underlays[-1].origin == PICTURE.origin


def test_order() -> None:
    project = default_project()
    for name in "abc":
        project, _ = edits.new_underlay(project, msgspec.structs.replace(PICTURE, file=name))

    def pile(p: Project) -> str:
        return "".join(u.file for u in p.underlays)

    assert pile(edits.change_order(project, "u1", 1)) == "bac"
    assert pile(edits.change_order(project, "u3", -2)) == "cab"
    assert edits.change_order(project, "u3", 5) is project


LOCKED = msgspec.structs.replace(PICTURE, locked=True)


@pytest.mark.parametrize(
    "edit",
    [
        lambda p: edits.move_underlay(p, "u1", (1.0, 0.0)),
        lambda p: edits.turn_underlay(p, "u1", 5.0),
        lambda p: edits.set_scale(p, "u1", 5.0),
        lambda p: edits.add_distance(p, "u1", (0, 0), (1, 0), 5.0),
        lambda p: edits.square_underlay(p, "u1", [((0, 0), (2, 1))]),
    ],
)
def test_what_is_locked_stays(edit: Callable[[Project], Project]) -> None:
    with pytest.raises(DocumentError, match="unlock it first"):
        edit(with_picture(LOCKED))


@pytest.mark.parametrize(
    "edit",
    [
        lambda p: edits.move_underlay(p, "u9", (1.0, 0.0)),
        lambda p: edits.move_underlay(p, "u1", (math.inf, 0.0)),
        lambda p: edits.move_underlay(p, "u1", (1e10, 0.0)),
        lambda p: edits.turn_underlay(p, "u1", math.nan),
        lambda p: edits.set_scale(p, "u1", 0.0),
        lambda p: edits.set_scale(p, "u1", math.inf),
        lambda p: edits.add_distance(p, "u1", (0, 0), (0, 0), 5.0),
        lambda p: edits.add_distance(p, "u1", (0, 0), (1, 0), -5.0),
        lambda p: edits.add_distance(p, "u1", (0, 0), (1e-9, 0), 5e8),
        lambda p: edits.square_underlay(p, "u1", [((1, 1), (1, 1))]),
        lambda p: edits.remove_distance(p, "u1", 0),
        lambda p: edits.change_order(p, "u9", 1),
    ],
)
def test_what_cannot_be_is_refused(edit: Callable[[Project], Project]) -> None:
    before = with_picture()
    with pytest.raises(DocumentError) as caught:
        edit(before)
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize(
    "values",
    [((0.0, 0.0), (0.0, 0.0), 1.0), ((0.0, 0.0), (1.0, 0.0), 0.0), ((0.0, math.nan), (1, 0), 1.0)],
)
def test_known_distances_are_checked(values: tuple[object, object, object]) -> None:
    with pytest.raises(DocumentError):
        KnownDistance(*values)  # type: ignore[arg-type]
