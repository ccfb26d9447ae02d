"""Tape, closures, vent strip, sealant and boots where they belong. Feet where not said."""

from __future__ import annotations

import msgspec
import pytest

from roofmodel.document import (
    NOT_IN_JOB,
    OTHER,
    Building,
    PanelLayout,
    PlaneCovering,
    Project,
    Section,
    Step,
)
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import RoofingSystem
from roofmodel.systems.fixing import Closures, Fixing, Pack, Sealant, Tape, TrimFixing
from roofmodel.takeoff import Quantity, TakeOff
from roofmodel_io.defaults import built_in_systems
from tests.houses import FT, GABLE, RECTANGLE, box, opening, plain_system, project, section
from tests.takeoff.goods import goods, goods_lines
from tests.takeoff.printed_formula import check

RIBBED = next(s for s in built_in_systems() if s.id == "ribbed_panel")
SEAM = next(s for s in built_in_systems() if s.id == "standing_seam")


def fixed(fixing: Fixing, **panel: object) -> RoofingSystem:
    plain = plain_system()
    rules = msgspec.structs.replace(plain.panel, **panel)
    return msgspec.structs.replace(plain, fixing=fixing, panel=rules)


def counted(made: Project) -> TakeOff:
    taken = results_of(made).take_off
    for line in goods_lines(taken):
        check(line, made.units)
        assert line.planes or line.edges
        assert line.source
    return taken


def line(taken: TakeOff, key: str) -> Quantity:
    (found,) = (q for q in taken.quantities if q.key == key)
    return found


def gable(slope: float = 0.5, section_id: str = "s1", x: float = 0.0) -> Section:
    ring = box(x, 0, x + 40, 24)
    return section(ring, (slope, GABLE, slope, GABLE), eave_ft=9, section_id=section_id)


def test_tape_on_both_sides_of_the_ridges_of_a_cross_gable() -> None:
    # a main gable of 40 by 24 with a wing 16 wide that projects 10, 6/12: ridges 40 and 18, the
    # wing's as long as its projection and half its width; one row on each side, 116 ft: 2.58 rolls
    # of 45 ft, and 2.84 with a tenth to spare
    main = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE), eave_ft=9)
    wing = section(box(12, -10, 28, 12), (GABLE, 0.5, GABLE, 0.5), eave_ft=9, section_id="s2")
    for spare in (0.0, 0.1):
        rolls = {"butyl tape roll": Pack("roll", 45 * FT, spare)}
        system = fixed(Fixing(tape=Tape(edges={K.RIDGE: 1}), packs=rolls))
        taken = counted(project(main, wing, system=system))
        assert goods(taken)["butyl tape roll"] == (116.0, 3)


def test_side_laps_are_taped_and_stitched_closer_on_low_slopes() -> None:
    # 12 ft of plan each side at 2/12: 12.1655 along the slope, 13 laps a side. Stitched every
    # 12 in: 12.17 spaces, 13 screws. At 3/12, 12.3693: every 24 in, 7 screws, and no tape.
    system = fixed(Fixing(), rib_spacing=228.6)
    low = counted(project(gable(2 / 12), system=system))
    assert goods(low)["stitch screw"][0] == 2 * 13 * 13
    assert goods(low)["butyl tape roll"][0] == pytest.approx(2 * 13 * 12.165525, abs=1e-5)
    at_three = goods(counted(project(gable(3 / 12), system=system)))
    assert at_three["stitch screw"][0] == 2 * 13 * 7
    assert "butyl tape roll" not in at_three


def test_end_laps_take_two_rows_across_each_panel() -> None:
    # 13.4164 long, panels up to 10 ft: one end lap in each of 28 strips of 3 ft
    taken = counted(project(gable(), system=fixed(Fixing(), longest=3048.0)))
    assert goods(taken)["butyl tape roll"] == (2 * 28 * 3, 5)
    assert '2 × 14 × 36"' in line(taken, "butyl tape roll").how


def test_a_vented_ridge_takes_strip_instead_of_closures() -> None:
    # 40 ft of ridge from both sides in rolls of 10 ft
    for system in (RIBBED, SEAM):
        plain = project(gable(), system=system)
        vented = msgspec.structs.replace(plain, layout=PanelLayout(vented=True))
        before, after = goods(counted(plain)), goods(counted(vented))
        assert after["vent strip roll"] == (80, 8)
        assert line(counted(vented), "vent strip roll").group == "Goods: ventilation"
        assert "vent strip roll" not in before
        assert "outside closure" not in after
        # the standing seam's Z closures stay, and so does their tape
        assert ("butyl tape roll" in after) is (system is SEAM)


def test_closures_at_a_pitch_transition() -> None:
    # a shed of 12/12 to 4 ft, then 3/12: the upper plane ends on the transition, the lower one
    # begins below it; 20 ft each. Eave 20 inside, high eave 20 outside.
    shed = section(box(0, 0, 20, 12), (1.0, GABLE, GABLE, GABLE), eave_ft=9)
    ring = shed.rings[0]
    first = msgspec.structs.replace(ring.edges[0], profile=(Step(0.0, 1.0), Step(4 * FT, 0.25)))
    ring = msgspec.structs.replace(ring, edges=(first, *ring.edges[1:]))
    shed = msgspec.structs.replace(shed, rings=(ring,))
    closures = Closures(
        inside=(K.EAVE, K.PITCH_TRANSITION), outside=(K.HIGH_EAVE, K.PITCH_TRANSITION)
    )
    both = goods(counted(project(shed, system=fixed(Fixing(closures=closures)))))
    assert both["inside closure"] == (40, 14)
    assert both["outside closure"] == (40, 14)
    lower = Closures(outside=(K.PITCH_TRANSITION,))
    one = goods(counted(project(shed, system=fixed(Fixing(closures=lower)))))
    assert one["outside closure"] == (20, 7)
    assert "inside closure" not in one


def test_no_foam_closures_under_clips() -> None:
    closures = Closures(inside=(K.EAVE,), outside=(K.RIDGE,))
    fixing = Fixing(closures=closures)
    assert goods(counted(project(gable(), system=fixed(fixing))))["inside closure"] == (80, 27)
    clips = goods(counted(project(gable(), system=fixed(fixing, fastening="clips"))))
    assert "inside closure" not in clips
    assert "outside closure" not in clips


def test_packs_are_rounded_up_once_for_the_job() -> None:
    # two houses of 80 ft of eaves each, 26.67 pieces each: 160 ft are 53.33, not 2 × 27
    closures = Fixing(closures=Closures(inside=(K.EAVE,)))
    made = project(gable(), system=fixed(closures))
    garage = Building("b2", "Garage", (gable(section_id="s2", x=100),))
    made = msgspec.structs.replace(made, buildings=(*made.buildings, garage))
    taken = counted(made)
    assert goods(taken)["inside closure"] == (160, 54)
    assert len({q.key for q in goods_lines(taken)}) == len(goods_lines(taken))


def test_two_systems_share_what_comes_in_the_same_packs() -> None:
    # the north plane in standing seam: what both take comes in the same bags, rolls and tubes
    made = project(gable(), system=RIBBED)
    made = msgspec.structs.replace(made, more_systems=(SEAM,))
    north = next(p for p in results_of(made).surface.planes if p.name == "North 1")
    made = msgspec.structs.replace(made, plane_coverings=(PlaneCovering(str(north.id), SEAM.id),))
    both = goods(counted(made))
    ribbed, seam = (goods(counted(project(gable(), system=s))) for s in (RIBBED, SEAM))
    assert both["panel screw"][0] == ribbed["panel screw"][0] / 2
    assert both["clip"][0] == seam["clip"][0] / 2
    # the ridge's ribbed side: two rows of tape, and a Z closure with two on the other
    assert both["butyl tape roll"] == (160, 4)
    assert both["outside closure"] == (40, 14)


def test_other_packs_of_one_key_are_lines_of_their_own() -> None:
    small = msgspec.structs.replace(
        RIBBED,
        id="small",
        fixing=msgspec.structs.replace(RIBBED.fixing, packs={"panel screw": Pack("box", 100)}),
    )
    made = msgspec.structs.replace(project(gable(), system=RIBBED), more_systems=(small,))
    north = next(p for p in results_of(made).surface.planes if p.name == "North 1")
    made = msgspec.structs.replace(made, plane_coverings=(PlaneCovering(str(north.id), "small"),))
    taken = counted(made)
    some = [(q.quantity, q.packs, q.pack) for q in taken.quantities if q.key == "panel screw"]
    # 558 × 1.05 ÷ 250 = 2.34 and 558 ÷ 100 = 5.58
    assert some == [(558, 3, "bag of 250"), (558, 6, "box of 100")]


def test_what_is_not_in_the_job_takes_no_goods() -> None:
    made = project(gable(), opening(box(30, 18, 30.5, 18.5), "pipe"), system=RIBBED)
    north = next(p for p in results_of(made).surface.planes if p.name == "North 1")
    whole = goods(counted(made))
    for covering in (OTHER, NOT_IN_JOB):
        cover = PlaneCovering(str(north.id), covering)
        half = goods(counted(msgspec.structs.replace(made, plane_coverings=(cover,))))
        assert half["panel screw"][0] == 558
        assert half["outside closure"][0] == whole["outside closure"][0] / 2
        assert "pipe boot" not in half
    assert whole["pipe boot"] == (1, 1)


def test_beads_along_edges_at_laps_and_around_boots() -> None:
    # two beads on 40 ft of ridge; laps of 10 in: each eave and the ridge take 4 pieces with 3 laps
    # of 4 in, rakes of 13.42 ft two pieces; a boot with 3 ft
    trim = {"rake trim": TrimFixing(lap_bead=0.0, rivets=0)}
    fixing = Fixing(
        sealant=Sealant(edges={K.RIDGE: 2}, boot=3 * FT),
        trim=trim,
        other_trim=TrimFixing(lap_bead=254.0, rivets=3),
    )
    made = project(gable(), opening(box(30, 5, 30.5, 5.5), "pipe"), system=fixed(fixing))
    taken = counted(made)
    assert goods(taken)["sealant tube"] == (80 + 9 * 10 / 12 + 3, 4)
    assert goods(taken)["rivet"] == (27, 1)
