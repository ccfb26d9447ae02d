"""What the solver says: refusals name edges and corners from 1, remarks tell what was in vain."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest

from roofmodel.errors import OutlineError
from roofmodel.skeleton import DECK, solve
from roofmodel.skeleton.wavefront import Wavefront
from tests.houses import GABLE, L_SHAPE, RECTANGLE

Point = tuple[float, float]
Profile = list[tuple[float, float]]
HIP: Profile = [(0.0, 0.5)]
END: Profile = [(0.0, GABLE)]
YARD: tuple[Point, ...] = ((15, 8), (25, 8), (25, 16), (15, 16))
SMALL: tuple[Point, ...] = ((2, 2), (4, 2), (4, 4), (2, 4))
BOW: tuple[Point, ...] = ((15, 8), (25, 16), (25, 8), (15, 16))


def all_of(ring: int, count: int) -> tuple[tuple[int, int], ...]:
    return tuple((ring, k) for k in range(count))


REFUSED: list[tuple[list[Sequence[Point]], list[Profile], str, object, object]] = [
    ([RECTANGLE, YARD], [HIP] * 6 + [[]] + [HIP], "Edge 3 of courtyard 1 has no pitch",
     (), ((1, 2),)),
    ([RECTANGLE], [HIP, [(0.0, 0.0)], HIP, HIP], "Edge 2 of the outline has a pitch of 0",
     (), ((0, 1),)),
    ([RECTANGLE], [HIP, HIP, HIP, [(2.0, 0.5), (1.0, 2.0)]], "steps of edge 4 of the outline",
     (), ((0, 3),)),
    ([RECTANGLE], [HIP, HIP, HIP, [(math.nan, 0.5)]], "step of edge 4 of the outline",
     (), ((0, 3),)),
    ([RECTANGLE, (*YARD[:3], YARD[2])], [HIP] * 8, "Corner 3 of courtyard 1 is repeated",
     ((1, 2), (1, 3)), ()),
    ([RECTANGLE, ((15, 8), (25, math.inf), (25, 16))], [HIP] * 7, "Corner 2 of courtyard 1 lies",
     ((1, 1),), ()),
    ([RECTANGLE, YARD[:2]], [HIP] * 6, "Courtyard 1 needs at least three corners",
     all_of(1, 2), ()),
    ([RECTANGLE, BOW], [HIP] * 8, "edges 1 and 3 of courtyard 1 meet", (), ((1, 0), (1, 2))),
    ([RECTANGLE, YARD, YARD], [HIP] * 12, "Courtyards 1 and 2", all_of(1, 4) + all_of(2, 4), ()),
    ([((0, 0), (9, 0), (18, 0))], [HIP] * 3, "The outline has no area", all_of(0, 3), ()),
    ([((1, 1),) * 3], [HIP] * 3, "The outline has no area", all_of(0, 3), ()),
    ([RECTANGLE], [END] * 4, "Nothing slopes", (), all_of(0, 4)),
    ([RECTANGLE], [[(0.0, 0.5), (2.0, GABLE)]] * 4, "edges 1, 2, 3 and 4 of the outline",
     (), all_of(0, 4)),
]  # fmt: skip


@pytest.mark.parametrize(("rings", "profiles", "words", "corners", "edges"), REFUSED)
def test_refusals_name_the_place(
    rings: list[Sequence[Point]],
    profiles: list[Profile],
    words: str,
    corners: object,
    edges: object,
) -> None:
    with pytest.raises(OutlineError, match=words) as caught:
        solve(rings, profiles)
    assert (caught.value.corners, caught.value.edges) == (corners, edges)


def test_a_deck_below_the_eaves_names_the_lowest_eaves() -> None:
    with pytest.raises(OutlineError, match="deck lies at or below") as caught:
        solve([RECTANGLE], [HIP, [(2.0, 0.5)]] * 2, deck_height=0.0)
    assert caught.value.edges == ((0, 0), (0, 2))


def test_an_attempt_that_gets_stuck_names_the_nearest_corner(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def lost(self: Wavefront, group: list[int], gone: set[int], h: float) -> int:
        raise IndexError("rounding led astray")

    monkeypatch.setattr(Wavefront, "_pair", lost)
    with pytest.raises(OutlineError, match=r"near corner \d of the outline") as caught:
        solve([L_SHAPE], [HIP] * 6)
    assert len(caught.value.corners) == 1


def test_an_eave_above_the_roof_is_told() -> None:
    # the ridge of the other three lies 6 high at most: an eave at 9 is never reached
    solved = solve([RECTANGLE], [HIP, [(19.0, 0.5)], HIP, END])
    ((sentence, place),) = solved.remarks
    assert sentence.startswith("Edge 2 of the outline has its eave above the finished roof")
    assert place == (40.0, 12.0)


def test_steps_above_the_roof_are_told_once() -> None:
    # hips of 1/2 over 24 end 6 high
    side = [(0.0, 0.5), (7.0, 1.0)]
    solved = solve([RECTANGLE, SMALL], [side, HIP, side, HIP, HIP, side, HIP, HIP])
    ((sentence, place),) = solved.remarks
    assert sentence.startswith(
        "Edges 1 and 3 of the outline, edge 2 of courtyard 1 have a step above the finished roof"
    )
    assert place == (20.0, 0.0)


def test_a_step_that_only_a_small_wing_never_reaches_is_nothing_to_tell() -> None:
    # the wing, 4 wide, ends 1 high; the house, 24 wide, is bent at 2
    wing = ((0, 0), (40, 0), (40, 24), (22, 24), (22, 28), (18, 28), (18, 24), (0, 24))
    solved = solve([wing], [[(0.0, 0.5), (2.0, 0.4)]] * 8)
    assert solved.remarks == ()
    assert (4, 1) not in {(f.edge, f.step) for f in solved.faces}


@pytest.mark.parametrize(("deck", "told"), [(5.0, False), (6.0, False), (6.5, True)])
def test_a_deck_above_the_roof_is_told(deck: float, told: bool) -> None:
    solved = solve([RECTANGLE], [HIP] * 4, deck_height=deck)
    assert [s.startswith("The deck lies above") for s, _ in solved.remarks] == [True] * told
    assert any(f.edge == DECK for f in solved.faces) == (deck == 5.0)
