"""Drawings of trim keep the names that they were released with."""

from __future__ import annotations

from collections import Counter

import msgspec
import pytest

from roofmodel.document import Project, Section
from roofmodel.document.edits import set_slope
from roofmodel.document.releases import ReleasedPiece, cut_alike, differences, released
from roofmodel.results import results_of
from roofmodel.shop.job import ShopJob
from roofmodel.shop.pieces import released_pieces
from roofmodel_io.project_file import decode_project, encode_project
from tests.houses import GABLE, RECTANGLE, box, section
from tests.shop.shops import HIP, MAIN, UNEQUAL_HIP, WING, job
from tests.shop.test_panel_shapes import shop_of

HALF_HIP = section(RECTANGLE, [0.5, GABLE, 0.5, 0.5])


def barn(east: float) -> Section:
    """A gable roof far from the house, 20 ft deep."""
    return section(box(100, 0, east, 20), (0.5, GABLE, 0.5, GABLE), section_id="s2")


def freeze(shop: ShopJob) -> Project:
    return released(shop.project, released_pieces(shop), "2026-03-01")


def after(project: Project, made: Project) -> ShopJob:
    """What `made` comes to, with the releases of a project."""
    return shop_of(msgspec.structs.replace(made, releases=project.releases))


def names(shop: ShopJob, part: str) -> list[str]:
    return [d.name for d in shop.trim if d.blank.run.part == part]


def shapes(shop: ShopJob) -> dict[str, ReleasedPiece]:
    """A piece of every drawing."""
    return {p.drawing: p for p in released_pieces(shop) if p.drawing}


@pytest.mark.parametrize(
    ("before", "now"),
    [
        (job(MAIN, WING), set_slope(job(MAIN, WING), "s2", ["e2", "e4"], 7 / 12)),
        (job(HIP, barn(130)), job(HALF_HIP, barn(130))),
        (job(MAIN, barn(130)), job(MAIN, barn(134))),
        (job(HIP), job(UNEQUAL_HIP)),
    ],
    ids=["a wing's pitch", "hip to gable", "a longer barn", "another pitch"],
)
def test_a_released_name_means_one_shape_for_ever(before: Project, now: Project) -> None:
    first = shop_of(before)
    one = freeze(first)
    second = after(one, now)
    then, today = shapes(first), shapes(second)
    kept = then.keys() & today.keys()
    assert kept, "some drawings stay"
    for name in kept:
        assert cut_alike(then[name], today[name]), name
    for name in today.keys() - then.keys():  # what is new is like none of then
        alike = [n for n, p in then.items() if cut_alike(p, today[name])]
        assert all(n in kept for n in alike), name  # or the words of its drawing differ
    # a third revision is the first again: all of its names come back, none of the second is reused
    two = freeze(second)
    third = after(two, before)
    assert [d.name for d in third.trim] == [d.name for d in first.trim]


def test_new_shapes_have_numbers_above_all_that_ever_were() -> None:
    first = shop_of(job(MAIN, barn(130)))
    eaves = "eave drip edge"
    assert names(first, eaves) == [f"Eave drip edge {k}" for k in (1, 2, 3)]
    # 30 ft of eave end with 9'-4", 34 ft with 3'-0", 36 ft with 5'-0" (laps of 2 in)
    two = after(freeze(first), job(MAIN, barn(134)))
    assert names(two, eaves) == [f"Eave drip edge {k}" for k in (1, 2, 4)]
    three = after(freeze(two), job(MAIN, barn(136)))
    assert names(three, eaves) == [f"Eave drip edge {k}" for k in (1, 2, 5)]
    assert names(after(freeze(three), job(MAIN, barn(130))), eaves) == names(first, eaves)


def test_an_only_drawing_keeps_its_bare_name() -> None:
    def shed(width: float) -> Section:
        return section(box(0, 0, width, 8), (0.5, GABLE, 0.5, GABLE))

    first = shop_of(job(shed(10)))  # 10 ft: one length of cap
    assert names(first, "ridge cap") == ["Ridge cap"]
    other = section(box(100, 0, 108, 8), (0.5, GABLE, 0.5, GABLE), section_id="s2")
    both = after(freeze(first), job(shed(10), other))
    assert names(both, "ridge cap") == ["Ridge cap", "Ridge cap 2"]
    # its shape is gone: the name is not given to another
    gone = after(freeze(first), job(shed(9)))
    assert names(gone, "ridge cap") == ["Ridge cap 2"]
    last = after(freeze(both), job(other))
    assert names(last, "ridge cap") == ["Ridge cap 2"]


def test_a_section_bent_otherwise_has_another_name() -> None:
    def caps(shop: ShopJob) -> list[str]:
        return [p.name for p in shop.profiles if p.blanks[0].run.part == "ridge cap"]

    first = shop_of(job(MAIN))
    assert caps(first) == ["Ridge cap"]
    one = freeze(first)
    assert caps(shop_of(one)) == caps(after(one, job(MAIN, barn(130)))) == ["Ridge cap"]
    # 7/12 on both sides folds 2 · atan(7/12) = 60.5°
    steep = section(RECTANGLE, (7 / 12, GABLE, 7 / 12, GABLE))
    (name,) = caps(after(one, job(steep)))
    assert name.endswith(" 60.5°")
    # whatever the section of then was called, the one of now is not called the same
    (back,) = caps(after(freeze(after(one, job(steep))), job(MAIN)))
    assert back.endswith(" 53.1°")


def test_a_release_of_before_names_were_kept_numbers_as_ever() -> None:
    first = shop_of(job(HIP, barn(130)))
    bare = [msgspec.structs.replace(p, drawing=None) for p in released_pieces(first)]
    project = released(first.project, bare, "2026-03-01")
    plain = msgspec.to_builtins(project)
    for piece in plain["releases"][0]["pieces"]:
        del piece["drawing"]  # as in a file of that time
    old = msgspec.convert(plain, Project)
    assert old == project
    assert [d.name for d in shop_of(old).trim] == [d.name for d in first.trim]
    assert differences(old.releases[0].pieces, released_pieces(shop_of(old))) == ()
    # the next release keeps them, also in the file
    second = freeze(after(old, job(HALF_HIP, barn(130))))
    again = decode_project(encode_project(second, {}), "a.roof").project
    assert again.releases == second.releases
    kept = {p.mark: p.drawing for p in again.releases[1].pieces if p.what == "trim"}
    assert all(kept.values())


def test_a_house_changed_beside_a_barn_leaves_the_barn_alone() -> None:
    """Edges are numbered anew, and with them every mark of the barn; none of its pieces is
    another. Told is what is gone and what is new by shape, counted here on its own."""

    def shape(piece: ReleasedPiece) -> tuple[object, ...]:
        return piece.part, piece.length, piece.corners, piece.bends

    before = released_pieces(shop_of(job(HIP, barn(130))))
    now = released_pieces(shop_of(job(HALF_HIP, barn(130))))
    then, today = Counter(map(shape, before)), Counter(map(shape, now))
    found = Counter(d.kind for d in differences(before, now))
    assert found["removed"] + found["changed"] == (then - today).total() == 27
    assert found["added"] + found["changed"] == (today - then).total() == 17
    assert results_of(job(barn(130))).take_off.trim  # there is something to leave alone


def test_an_eave_of_one_piece_more_tells_that_piece_and_the_last() -> None:
    # 41 ft of eave are 492 in: four pieces, the last 492 - 3 · 124 = 120 in; 42.5 ft are 510 in:
    # four whole ones reach 498 in, and the fifth is 510 - 4 · 124 = 14 in
    def house(width: float) -> list[ReleasedPiece]:
        made = job(section(box(0, 0, width, 24), (0.5, GABLE, 0.5, GABLE)))
        return [p for p in released_pieces(shop_of(made)) if p.part == "eave drip edge"]

    inch = 25.4
    found = differences(house(41), house(42.5))
    removed = [d.was.length / inch for d in found if d.kind == "removed" and d.was]
    added = sorted(d.now.length / inch for d in found if d.kind == "added" and d.now)
    assert removed == pytest.approx([120.0] * 2)
    assert added == pytest.approx([14.0, 14.0, 126.0, 126.0])
    assert len(found) == 6
