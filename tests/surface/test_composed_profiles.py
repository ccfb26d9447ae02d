"""Sections whose edges rise in several steps, composed; feet, derived beside each."""

from __future__ import annotations

import math

import msgspec
import pytest

from roofmodel.document import Section, Step
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, GABLE, RECTANGLE, box, section
from tests.surface.roof_asserts import (
    REL,
    angle,
    check_edges,
    check_folds,
    check_planes,
    ends,
    node,
    of_kind,
    roof,
    sf,
    square_bend,
    total_plan,
)

ROOT2 = math.sqrt(2)


def with_profile(body: Section, steps: tuple[Step, ...], edges: set[str]) -> Section:
    ring = body.rings[0]
    changed = tuple(
        msgspec.structs.replace(e, profile=steps) if e.id in edges else e for e in ring.edges
    )
    return msgspec.structs.replace(body, rings=(msgspec.structs.replace(ring, edges=changed),))


def test_gambrel_wing() -> None:
    """Main body 40 × 24, 12/12. Wing 12 wide, 8 proud: 24/12 up to 4 high, 2 in, then 6/12 to
    its ridge, 6 high. Lower valleys (2, 4, 4) = 6, upper (4, 2, 2) = √24; the bends between both
    pitches end where they meet, at y = 4, the ridge at y = 6."""
    gambrel = (Step(0.0, 2.0), Step(4 * FT, 0.5))
    wing = section(box(14, -8, 26, 8), (GABLE, 1.0, GABLE, 1.0), section_id="s2")
    s = roof(
        section(RECTANGLE, (1.0, GABLE, 1.0, GABLE)),
        with_profile(wing, gambrel, {"e2", "e4"}),
    )
    lower = 2 * 8 + 2 * 4 / 2
    upper = 4 * 8 + 4 * (4 + 6) / 2
    check_planes(
        s,
        {
            "South 1": (480 - 2 * (4 + 20), 1.0),
            "North 1": (480, 1.0),
            "East 1": (lower, 2.0),
            "East 2": (upper, 0.5),
            "West 1": (lower, 2.0),
            "West 2": (upper, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 14],
            K.VALLEY: [6, 6, math.sqrt(24), math.sqrt(24)],
            K.PITCH_TRANSITION: [12, 12],
            K.EAVE: [14, 14, 40, 8, 8],
            K.RAKE: [
                *[12 * ROOT2] * 4,
                *[2 * math.sqrt(5)] * 2,
                *[4 * sf(0.5)] * 2,
            ],
        },
    )
    check_folds(s, K.PITCH_TRANSITION, angle(2.0) - angle(0.5))
    low, high = square_bend(1.0, 2.0), square_bend(1.0, 0.5)
    check_folds(s, K.VALLEY, -low, -low, -high, -high)
    assert node(s, 16, 4) == node(s, 24, 4) == "valley joint"


def test_mansard_house_with_a_gable_dormer_in_its_lower_slope() -> None:
    """40 × 40, 24/12 up to 8 high, then 3/12. A dormer 6 wide, 12/12, in the south slope: face at
    y = 1 (2 high), eave 5 high (the slope has it at y = 2.5), ridge 8: just where the slope
    bends, at y = 4. Valleys (3, 1.5, 3)."""
    body = section(box(0, 0, 40, 40), [1.0] * 4)
    mansard = (Step(0.0, 2.0), Step(8 * FT, 0.25))
    s = roof(
        with_profile(body, mansard, {"e1", "e2", "e3", "e4"}),
        section(box(17, 1, 23, 4), (GABLE, 1.0, GABLE, 1.0), section_id="s2", eave_ft=5),
    )
    side = 3 * 1.5 + 3 * 1.5 / 2
    plan = {p.name: p.plan_area / FT**2 for p in s.planes}
    # lower slopes: 4 deep, 40 to 32 long
    assert plan["South 1"] == pytest.approx(144 - 2 * side, rel=REL)
    assert plan["North 1"] == pytest.approx(144, rel=REL)
    assert plan["South 2"] == pytest.approx(32 * 32 / 4, rel=REL)
    assert total_plan(s) == pytest.approx(1600, rel=REL)
    valleys = [e.length / FT for e in of_kind(s, K.VALLEY)]
    assert valleys == pytest.approx([math.sqrt(9 + 2.25 + 9)] * 2, rel=REL)
    assert [e.length / FT for e in of_kind(s, K.SIDEWALL)] == pytest.approx(
        [1.5 * math.sqrt(5)] * 2, rel=REL
    )
    assert sum(e.length for e in of_kind(s, K.PITCH_TRANSITION)) / FT == pytest.approx(128)
    (ridge,) = of_kind(s, K.RIDGE)
    assert ends(ridge) == ((20, 1, 8), (20, 4, 8))


def test_wing_with_a_gable_above_a_hip() -> None:
    """Main body 40 × 24, 6/12; a wing 16 wide, 12 proud, 6/12, its end hipped up to 2 high (4 in),
    then plumb: the hips there are 4 · 1.5, the gablet's foot is 8 wide, level, and against it the
    end's slope stops as at a wall. Ridge 4 high from y = -8 to 8."""
    wing = section(box(12, -12, 28, 10), (0.5, 0.5, GABLE, 0.5), section_id="s2")
    end = (Step(0.0, 0.5), Step(2 * FT, None))
    s = roof(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), with_profile(wing, end, {"e1"}))
    side = 8 * 12 + 8 * 8 / 2 - (4 * 4 / 2 + 4 * 4)
    check_planes(
        s,
        {
            "South 1": (480 - 64, 0.5),
            "North 1": (480, 0.5),
            "South 2": ((16 + 8) / 2 * 4, 0.5),
            "East 1": (side, 0.5),
            "West 1": (side, 0.5),
        },
    )
    check_edges(
        s,
        {
            K.RIDGE: [40, 16],
            K.VALLEY: [12, 12],
            K.HIP: [6, 6],
            K.HEADWALL: [8],
            K.EAVE: [12, 12, 40, 16, 12, 12],
            K.RAKE: [*[12 * sf(0.5)] * 4, 4 * sf(0.5), 4 * sf(0.5)],
        },
    )
