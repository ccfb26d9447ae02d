"""Cross-sections bent to roofs: against folding the flat back arc by arc, and what is refused."""

from __future__ import annotations

import math
from itertools import pairwise

import msgspec
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from roofmodel.errors import DocumentError
from roofmodel.parts import Folded, folded
from roofmodel.systems import Bend, Hem, Leg, SheetMetal, TrimProfile
from roofmodel.systems.joining import joined
from roofmodel_io.parts_toml import built_in_parts
from tests.parts.fold_back import ArcPart, FlatPart, crossing, fold_back, point_at

IN = 25.4
OWN = {p.name: p for p in built_in_parts()}
TWO_SYSTEMS = [
    joined(OWN[one], OWN[two])
    for one, two in (
        ("ridge cap", "seam ridge cap"),
        ("seam hip cap", "hip cap"),
        ("transition trim", "seam transition trim"),
        ("seam transition trim", "transition trim"),
        ("valley pan", "valley pan"),
    )
]
PARTS = OWN | {p.name: p for p in TWO_SYSTEMS if p is not None}
SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)


def folds(part: TrimProfile) -> list[float]:
    low, high = part.folds
    least = part.least_fold
    some = [low + (high - low) * share for share in SHARES]
    return [f for f in (*some, -least, least) if abs(f) >= least and low <= f <= high]


def folded_back(bent: Folded) -> tuple[list[FlatPart], list[ArcPart]]:
    metal = bent.profile.metal
    lines = [
        (b.at, b.angle if b.direction == "up" else -b.angle, b.inside_radius) for b in bent.bends
    ]
    return fold_back(lines, bent.girth, metal.thickness, metal.k_factor)


def leg_flats(bent: Folded, flats: list[FlatPart]) -> list[FlatPart]:
    """The flats of the legs, without those of hems; no bend of 0 degrees lies between them."""
    before = {"closed": 1, "open": 1, "double": 2}
    hem = bent.profile.start_hem
    first = before[hem.kind] if hem else 0
    return flats[first : first + len(bent.profile.legs)]


@pytest.mark.parametrize("name", PARTS)
def test_the_flat_folds_back_to_the_section(name: str) -> None:
    for fold in folds(PARTS[name]):
        bent = folded(PARTS[name], fold)
        flats, arcs = folded_back(bent)
        thick = bent.profile.metal.thickness
        for face, offset in (("colour side", thick / 2), ("middle", 0.0), ("back", -thick / 2)):
            s, points = bent.section(face, steps=6)  # type: ignore[arg-type]
            mine = np.array([point_at(x, flats, arcs, thick, offset) for x in s])
            # the same but for where it lies: all distances from two points of it
            for k in (0, len(s) // 2):
                apart = np.linalg.norm(points - points[k], axis=1)
                assert apart == pytest.approx(np.linalg.norm(mine - mine[k], axis=1), abs=1e-9)


@pytest.mark.parametrize("name", PARTS)
def test_legs_lie_on_both_planes(name: str) -> None:
    part = PARTS[name]
    for fold in folds(part):
        bent = folded(part, fold)
        if abs(fold) < 1e-9 or any(abs(a) < 1e-9 for a in part.angles_at(fold)):
            continue  # flat: the planes are one
        flats, _ = folded_back(bent)
        half = part.metal.thickness / 2.0
        legs = leg_flats(bent, flats)
        first = [
            leg for leg, said in zip(legs, part.legs, strict=True) if said.on == "first plane"
        ]
        second = [leg for leg, said in zip(legs, part.legs, strict=True) if "second" in said.on]
        if not (first and second):
            continue
        # turned so that the first leg lies on its plane, the roof's second plane goes through
        # the apex at the roof's fold, falling where the fold is positive
        turn = np.array([first[-1].way, first[-1].normal]).T
        one, two = first[-1], second[0]
        apex = crossing(
            one.start + half * one.normal, one.way, two.start + half * two.normal, two.way
        )
        falls = np.array([math.cos(math.radians(fold)), -math.sin(math.radians(fold))])
        for leg in second:
            for end in (leg.start, leg.end):
                x, y = (end + half * leg.normal - apex) @ turn
                assert abs(x * falls[1] - y * falls[0]) < 1e-6 * IN
        for leg in first:
            for end in (leg.start, leg.end):
                assert abs(((end + half * leg.normal - apex) @ turn)[1]) < 1e-6 * IN
        # and so the module's own section has it, apex in the same place
        s, points = bent.section("colour side")
        k = part.legs.index(next(leg for leg in part.legs if "second" in leg.on))
        at = [np.interp(x, s, points[:, 0]) - bent.apex()[0] for x in bent.legs[k]]
        up = [np.interp(x, s, points[:, 1]) - bent.apex()[1] for x in bent.legs[k]]
        for x, y in zip(at, up, strict=True):
            assert abs(x * falls[1] - y * falls[0]) < 1e-6 * IN


def outside_lengths(bent: Folded) -> list[float]:
    """The legs' outside lengths as measured on what is folded back; without hems."""
    flats, arcs = folded_back(bent)
    half = bent.profile.metal.thickness / 2.0
    corners = []
    for (a, b), arc in zip(pairwise(flats), arcs, strict=True):
        out = -math.copysign(half, arc.turn)
        corners.append(crossing(a.start + out * a.normal, a.way, b.start + out * b.normal, b.way))
    marks = [flats[0].start, *corners, flats[-1].end]
    return [float((q - p) @ flat.way) for (p, q), flat in zip(pairwise(marks), flats, strict=True)]


@given(
    st.lists(st.floats(15.0, 300.0), min_size=2, max_size=5),
    st.lists(st.one_of(st.floats(2.0, 85.0), st.floats(-85.0, -2.0)), min_size=4, max_size=4),
    st.floats(0.3, 1.2),
    st.floats(0.0, 2.0),
)
@settings(max_examples=150, deadline=None)
def test_any_section_has_the_outside_lengths_it_was_given(
    lengths: list[float], angles: list[float], thickness: float, radius: float
) -> None:
    legs = tuple(Leg(f"leg {k}", length) for k, length in enumerate(lengths))
    bends = tuple(Bend(a) for a in angles[: len(legs) - 1])
    metal = SheetMetal("any", thickness, radius)
    try:
        bent = folded(TrimProfile("any", legs, bends, metal=metal), 0.0)
    except DocumentError:
        assume(False)
    assert outside_lengths(bent) == pytest.approx(lengths, abs=1e-6)


@pytest.mark.parametrize("name", PARTS)
def test_hems_end_where_the_leg_does(name: str) -> None:
    part = PARTS[name]
    bent = folded(part, folds(part)[2])
    s, points = bent.section("colour side", steps=64)
    for hem, leg, last in ((part.start_hem, 0, False), (part.end_hem, -1, True)):
        if hem is None or hem.kind == "open":
            continue
        low, high = bent.legs[leg]
        a, b = (np.array([np.interp(x, s, points[:, k]) for k in (0, 1)]) for x in (low, high))
        way = (b - a) / np.linalg.norm(b - a) * (1 if last else -1)
        end = b if last else a
        beyond = points[s > high] if last else points[s < low]
        tip = float(((beyond - end) @ way).max())
        assert tip == pytest.approx(part.metal.thickness, rel=0.01)


@pytest.mark.parametrize(
    ("name", "fold", "angles"),
    [
        # 6/12: eave 90 − 26.5651; ridge 2 · 26.5651; hip and valley acos(cos² 26.5651) = 36.8699
        ("eave drip edge", 63.4349, [("down", 63.4349), ("up", 30.0)]),
        ("ridge cap", 53.1301, [("down", 53.1301)]),
        ("hip cap", 36.8699, [("down", 36.8699)]),
        ("valley pan", -36.8699, [("up", 78.43495), ("down", 120.0), ("up", 78.43495)]),
        ("headwall flashing", -63.4349, [("up", 63.4349)]),
        ("sidewall flashing", -90.0, [("up", 90.0)]),
        ("seam headwall flashing", -63.4349, [("up", 63.4349)]),
        ("seam sidewall flashing", -90.0, [("up", 90.0)]),
        ("seam apron flashing", -63.4349, [("up", 63.4349)]),
        ("seam side flashing", -90.0, [("up", 90.0)]),
        ("seam high-eave cap", 116.5651, [("down", 116.5651), ("up", 30.0)]),
        ("seam deck edge trim", 26.5651, [("down", 26.5651)]),
        ("seam transition trim", 19.6538, [("down", 19.6538)]),
        ("seam transition trim", -19.6538, [("up", 19.6538)]),
        ("back pan", -116.5651, [("up", 116.5651)]),
        ("high-eave cap", 116.5651, [("down", 116.5651), ("up", 30.0)]),
        ("transition trim", 19.6538, [("down", 19.6538)]),
        ("transition trim", -19.6538, [("up", 19.6538)]),
        ("Z closure", 0.0, [("down", 90.0), ("up", 90.0)]),
    ],
)
def test_brake_angles(name: str, fold: float, angles: list[tuple[str, float]]) -> None:
    bends = [b for b in folded(PARTS[name], fold).bends if b.number >= 0]
    assert [b.direction for b in bends] == [way for way, _ in angles]
    assert [b.angle for b in bends] == pytest.approx([a for _, a in angles], abs=1e-9)
    assert [b.included for b in bends] == pytest.approx([180 - a for _, a in angles], abs=1e-9)


def test_what_lies_on_the_second_plane_only_lies_there() -> None:
    # a gable's face stands upright under its rake: the cleat goes down it, colour side outwards
    cleat = folded(PARTS["rake cleat"], 90.0)
    s, points = cleat.section("colour side")
    low, high = (np.array([np.interp(x, s, points[:, k]) for k in (0, 1)]) for x in cleat.legs[0])
    assert (high - low) / np.linalg.norm(high - low) == pytest.approx([0.0, -1.0], abs=1e-12)
    middle = cleat.section("middle")[1]
    assert points[0, 0] > middle[0, 0]
    assert cleat.apex() == pytest.approx(low, abs=1e-12)


RIDGE = PARTS["ridge cap"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"legs": RIDGE.legs[:1]}, ("1 legs and 1 bends", "add the leg or bend")),
        ({"legs": (), "bends": ()}, ("0 legs",)),
        ({"bends": ()}, ("2 legs and 0 bends",)),
        ({"bends": (Bend(10.0, 1.0),)}, ("add up to 1 times the roof's fold and 0",)),
        ({"bends": (Bend(0.0, 0.5),)}, ("0.5 times",)),
        ({"folds": (0.0, 179.0)}, ("too short for its bends", "179.0°")),
        ({"folds": (50.0, 20.0)}, ("least fold first",)),
        ({"least_leg": 200.0}, ("leg 'first side'", "at least 7.874 in", "brake")),
        ({"end_hem": Hem("closed", 5.0)}, ("closed hem", "at least 0.375 in")),
        ({"end_hem": Hem("open", 12.7, 0.0)}, ("open hem", "gap")),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(
    change: dict[str, object], words: tuple[str, ...]
) -> None:
    with pytest.raises(DocumentError) as caught:
        msgspec.structs.replace(RIDGE, **change)
    sentence = str(caught.value)
    assert "'ridge cap'" in sentence
    assert sentence.endswith(".")
    for word in words:
        assert word in sentence


def test_a_bend_of_half_a_turn_is_refused() -> None:
    legs = (Leg("a", 50.0), Leg("b", 50.0))
    with pytest.raises(DocumentError, match="must stay under 180"):
        TrimProfile("z", legs, (Bend(180.0),))
    with pytest.raises(DocumentError, match="must stay under 180"):
        TrimProfile("z", legs, (Bend(0.0, 2.0),), folds=(0.0, 100.0))


def test_a_section_that_runs_into_itself_is_refused() -> None:
    legs = tuple(Leg(n, size) for n, size in (("a", 100.0), ("b", 30.0), ("c", 60.0), ("d", 60.0)))
    with pytest.raises(DocumentError, match=r"legs 'a' and 'd' .* run into each other"):
        TrimProfile("z", legs, (Bend(90.0),) * 3)
    # a hem that is wider than the channel it is folded into
    channel = (Leg("a", 40.0), Leg("b", 10.0), Leg("c", 25.0))
    part = TrimProfile(
        "j", channel, (Bend(90.0), Bend(90.0)), end_hem=Hem("open", 30.0, 12.0, "up")
    )
    with pytest.raises(DocumentError, match="runs into itself"):
        folded(part, 0.0)


def test_what_a_fold_of_the_roof_asks_too_much_is_refused_there() -> None:
    with pytest.raises(DocumentError, match=r"must stay under 180"):
        folded(PARTS["valley pan"], -250.0)


@pytest.mark.parametrize(
    "change",
    [{"thickness": 0.0}, {"thickness": 9.0}, {"inside_radius": -1.0}, {"k_factor": 0.9},
     {"thickness": math.nan}, {"k_factor": math.inf}],
)  # fmt: skip
def test_a_sheet_that_is_none(change: dict[str, float]) -> None:
    with pytest.raises(DocumentError, match="24 ga"):
        SheetMetal(**change)  # type: ignore[arg-type]
