"""Standing seam's own sections: open hems that hook on Z closures and cleats, the painted face of
its Z closure."""

from __future__ import annotations

import math

import numpy as np
import pytest

from roofmodel.parts import folded
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.prices_toml import sample_prices

IN = 25.4
PARTS = {p.name: p for p in built_in_parts()}


@pytest.mark.parametrize("name", ["ridge cap", "hip cap"])
def test_caps_hook_on_both_sides(name: str) -> None:
    # at a fold of 53.1301°: legs less the setback (1/32 + 0.0276) · tan 26.565°, a bend of 0.92730
    # · (1/32 + 0.44 · 0.0276), on either side 1/2 and a round of π · (1/16 + 0.44 · 0.0276)
    own, shared = PARTS[f"seam {name}"], PARTS[name]
    bent = folded(own, 53.130102)
    by_hand = (
        2 * (6.0 - (1 / 32 + 0.0276) * 0.5)
        + 0.927295 * (1 / 32 + 0.44 * 0.0276)
        + 2 * (0.5 + math.pi * (1 / 16 + 0.44 * 0.0276))
    )
    assert bent.girth / IN == pytest.approx(by_hand, abs=1e-6)
    assert own.legs == shared.legs
    assert own.folds == shared.folds
    top = PARTS["Z closure"].legs[-1]
    for hem in (own.start_hem, own.end_hem):
        assert hem is not None
        assert (hem.kind, hem.to) == ("open", "down")
        assert hem.gap > 2 * PARTS["Z closure"].metal.thickness  # the closure's leg slips in
        assert hem.width < top.length
    assert {shared.start_hem.kind, shared.end_hem.kind} == {"closed"}  # type: ignore[union-attr]


def test_rake_trim_hooks_on_its_cleat() -> None:
    own, cleat = PARTS["seam rake trim"], PARTS["rake cleat"]
    assert own.start_hem is not None
    assert own.end_hem is not None
    assert (own.start_hem.kind, own.end_hem.kind, own.end_hem.to) == ("closed", "open", "down")
    assert own.legs[-1].name == cleat.legs[-1].name == "kick"
    assert own.bends[-1] == cleat.bends[-1]  # both kick out alike
    assert own.end_hem.gap > 2 * cleat.metal.thickness
    assert own.end_hem.width < cleat.legs[-1].length
    # seen along the rake, the hem lies behind the kick, on the side of the gable
    s, back = folded(own, 90.0).section("back")
    kick = [np.array([np.interp(x, s, back[:, k]) for k in (0, 1)]) for x in
            folded(own, 90.0).legs[-1]]  # fmt: skip
    way = kick[1] - kick[0]
    off = back[-1] - kick[1]
    assert way[0] * off[1] - way[1] * off[0] < 0.0


ROUND = math.pi * (1 / 16 + 0.44 * 0.0276)
"""What the round of an open hem takes of the flat: gap 1/8 in, inside radius 1/16 in."""


def bend_less(degrees: float) -> float:
    """What a bend makes the flat longer (in) than the sum of its two legs' outside lengths: its
    allowance less two setbacks."""
    angle = math.radians(degrees)
    return angle * (1 / 32 + 0.44 * 0.0276) - 2 * (1 / 32 + 0.0276) * math.tan(angle / 2)


@pytest.mark.parametrize(
    ("name", "fold", "legs", "others"),
    [
        # fold, outside lengths, hems that stay closed; 6/12: 90 − 26.5651, 90, 90 + 26.5651; deck
        # 26.5651; 3/12 below 8/12: 33.6901 − 14.0362
        ("headwall flashing", -63.434949, 6 + 4, 0.0),
        ("sidewall flashing", -90.0, 6 + 4, 0.0),
        ("apron flashing", -63.434949, 6 + 4, 0.0),
        ("side flashing", -90.0, 5 + 4, 0.0),
        ("high-eave cap", 116.565051, 6 + 4 + 0.75, 0.375),
        # what closures raise by 1.5 in: 1.5 ÷ sin 26.5651 = 3.35410; 1.5 ÷ sin 19.6538 = 4.45982;
        # bent up, 1.5 ÷ tan 19.6538 = 4.20000
        ("deck edge trim", 26.565051, 4 + 6 + 3.354102, 0.0),
        ("transition trim", 19.653824, 6 + 6 + 4.459821, 0.0),
        ("transition trim", -19.653824, 6 + 6 + 4.2, 0.0),
    ],
)
def test_what_lies_on_closures_hooks_there(
    name: str, fold: float, legs: float, others: float
) -> None:
    own, shared = PARTS[f"seam {name}"], PARTS[name]
    # closed hems add their width, as the round is taken out of the leg and the fold; the open one
    # its width of 1/2 in and its round
    kick = bend_less(30.0) if name == "high-eave cap" else 0.0
    by_hand = legs + bend_less(abs(fold)) + kick + others + 0.5 + ROUND
    assert folded(own, fold).girth / IN == pytest.approx(by_hand, abs=1e-6)
    assert own.folds == shared.folds
    assert [leg.on for leg in own.legs] == [leg.on for leg in shared.legs]
    # the border on the closures is open, the other one as with ribbed panels
    hooks_first = "closures" in own.legs[0].name
    assert hooks_first or "closures" in own.legs[1].name
    hook, other = (own.start_hem, own.end_hem)[:: 1 if hooks_first else -1]
    before, as_before = (shared.start_hem, shared.end_hem)[:: 1 if hooks_first else -1]
    assert before is not None
    assert hook is not None
    assert (before.kind, hook.kind, hook.to) == ("closed", "open", "down")
    assert other == as_before
    closure = PARTS["Z closure"]
    assert hook.gap > 2 * closure.metal.thickness
    assert hook.width < closure.legs[-1].length


def test_the_hem_is_folded_under_the_leg() -> None:
    # a headwall flashing at 6/12: its hem runs back up the slope below the leg, 1/8 in and a sheet
    # under it, so that the closure's top, which points down the slope, goes in between
    own = PARTS["seam headwall flashing"]
    bent = folded(own, -63.434949)
    s, middle = bent.section("middle")
    leg = [np.array([np.interp(at, s, middle[:, k]) for k in (0, 1)]) for at in bent.legs[0]]
    border, corner = middle[0], middle[1]
    assert leg[0] @ (1, 0) < leg[1] @ (1, 0)  # the leg goes up the slope towards the wall
    assert border @ (1, 0) > corner @ (1, 0) + 0.4 * IN  # and so does the hem, from the fold on
    assert leg[0][1] - border[1] == pytest.approx((0.125 + 0.0276) * IN, abs=1e-9)


def test_the_seam_system_has_only_hooking_parts_and_a_price_for_each() -> None:
    ribbed, seam = built_in_systems()
    own = {name for name in PARTS if name.startswith("seam ")}
    assert len(own) == 10
    named = {r.part for rules in seam.trim.values() for r in rules}
    assert own <= named
    # what lies on the panels hooks, or is held by a cleat, or lies under them
    assert named - own == {
        *("eave edge", "rake cleat", "Z closure", "valley pan", "valley cleat", "back pan"),
    }
    assert not own & {r.part for rules in ribbed.trim.values() for r in rules}
    prices = {p.key: (p.unit, p.price) for p in sample_prices().prices}
    for part in own:
        assert prices[f"trim:{part}"] == prices[f"trim:{part.removeprefix('seam ')}"]
    assert "seam rake trim" in seam.fixing.trim
    assert "rake trim" not in seam.fixing.trim


def test_the_colour_of_a_z_closure_looks_down_the_slope() -> None:
    # its top points down the slope, where the cap's hem hooks on it, its foot up: the painted face
    # of the web between them is the one on the side of the top
    bent = folded(PARTS["Z closure"], 0.0)
    s, colour = bent.section("colour side")
    _, middle = bent.section("middle")

    def at(points: np.ndarray, x: float) -> np.ndarray:
        return np.array([np.interp(x, s, points[:, k]) for k in (0, 1)])

    foot, web, top = (at(middle, sum(leg) / 2.0) for leg in bent.legs)
    outwards = at(colour, sum(bent.legs[1]) / 2.0) - web
    names = [leg.name for leg in PARTS["Z closure"].legs]
    assert "where the cap hooks" in names[2]
    assert float(outwards @ (top - web)) > 0.0 > float(outwards @ (foot - web))
    assert len(names) == 3
    assert bent.girth / IN == pytest.approx(3.4009, abs=5e-5)
