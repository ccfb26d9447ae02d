"""Caps over the panels of two systems in the shop: which border lies where, what is alike."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest
from ezdxf.filemanagement import readfile

from roofmodel.document import Building, PlaneCovering, Project
from roofmodel.parts import folded
from roofmodel.results import Results, results_of
from roofmodel.shop import Blank, alike, blanks_of
from roofmodel.shop.job import ShopJob
from roofmodel.shop.lines import Roof
from roofmodel.shop.pieces import released_pieces
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.shop_package import write_shop_package
from tests.houses import GABLE, L_SHAPE, RECTANGLE, box, project, section
from tests.io.test_shop_package import no_picture
from tests.shop.assembly import plane_normal
from tests.shop.shops import SYSTEMS, Shop
from tests.shop.test_joints_close import (
    CHORDS_MM,
    EAST,
    NORTH,
    SOUTH,
    Fitted,
    apart,
    gap,
    roof_node,
    without_bend,
)

RIBBED, SEAM = SYSTEMS["ribbed_panel"], SYSTEMS["standing_seam"]
CAP = "half ridge cap and half seam ridge cap"
IN = 25.4


def with_seams(job: Project, *planes: str) -> Results:
    """A job in ribbed panels with standing seam on these planes."""
    job = msgspec.structs.replace(job, more_systems=(SEAM,), parts=built_in_parts())
    ids = {p.name: str(p.id) for p in results_of(job).surface.planes}
    own = tuple(PlaneCovering(ids[name], SEAM.id) for name in planes)
    return results_of(msgspec.structs.replace(job, plane_coverings=own))


def blanks(results: Results) -> tuple[Blank, ...]:
    made = blanks_of(results.project, results.surface, results.take_off.trim)
    assert not made.remarks
    return made.blanks


def gable(seam_side: str) -> Results:
    job = project(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)), system=RIBBED)
    return with_seams(job, seam_side)


@pytest.mark.parametrize(("seams", "ribs"), [("North 1", "South 1"), ("South 1", "North 1")])
def test_the_open_hem_lies_on_the_seams(seams: str, ribs: str) -> None:
    results = gable(seams)
    (run,) = [t for t in results.take_off.trim if t.part == CAP]
    roof = Roof(results.surface)
    line = roof.line_of(run)
    assert line.first is not None
    assert line.second is not None
    assert (roof.planes[line.first].name, roof.planes[line.second].name) == (ribs, seams)
    caps = [b for b in blanks(results) if b.run is run]
    assert len(caps) == 4
    bent = folded(caps[0].profile, caps[0].fold)
    assert (bent.profile.start_hem, bent.profile.end_hem) != (None, None)
    assert bent.profile.start_hem.kind == "closed"  # type: ignore[union-attr]
    assert bent.profile.end_hem.kind == "open"  # type: ignore[union-attr]
    # in space the second border lies over the plane with seams, 6 in down from the ridge
    s, points = bent.section("middle")
    x, y = (points - bent.apex()).T
    place = line.place(x, y, np.full(len(s), 1000.0))
    towards = roof.planes[line.second].outline.mean(axis=0) - line.start
    towards -= (towards @ line.along) * line.along
    reach = (place - line.start - 1000.0 * line.along) @ (towards / np.linalg.norm(towards))
    assert reach[-1] > 4.0 * IN
    assert reach[0] < -3.0 * IN  # 6 in · cos 53.13° beyond the ridge, the round off
    assert bent.girth / IN == pytest.approx(13.215890, abs=1e-6)  # tests/takeoff has it by hand


def test_on_either_side_of_a_ridge_it_is_the_same_blank() -> None:
    # a house with its seams on the north and a barn with them on the south
    house = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    barn = section(box(100, 0, 140, 24), (0.5, GABLE, 0.5, GABLE), section_id="s2")
    job = Project(
        RIBBED, buildings=(Building("b1", "House", (house,)), Building("b2", "Barn", (barn,)))
    )
    planes = results_of(job).surface.planes
    names = {p.building: p.name for p in planes if p.name.startswith("North")}
    south = next(p.name for p in planes if p.building == "b2" and p.name.startswith("South"))
    results = with_seams(job, names["b1"], south)
    caps = [b for b in blanks(results) if b.run.part == CAP]
    assert len(caps) == 8
    assert len({b.profile for b in caps}) == 1
    # a turned-down end at the left, one at the right, and the two whole ones between in each
    groups = alike(caps)
    assert sum(map(len, groups)) == 8
    assert max(map(len, groups)) == 4
    one = ShopJob(results.project, results.surface, results.take_off)
    (drawn,) = [p for p in one.profiles if p.blanks[0].run.part == CAP]
    assert drawn.name == f"H{CAP[1:]}"
    hems = {p.hems for p in released_pieces(one) if p.part == CAP}
    assert hems == {"closed down 12.7 0.0; open down 12.7 3.2"}


def test_caps_of_two_systems_close_at_mitres() -> None:
    # an L with seams on one plane: mixed hips, ridges and plain ones meet in peaks and joints
    results = with_seams(project(section(L_SHAPE, [0.5] * 6), system=RIBBED), "South 1")
    made = blanks(results)
    mixed = [b for b in made if b.run.halves]
    assert {b.run.kind.value for b in mixed} == {"ridge", "hip"}
    assert any("mitre" in (b.start.kind, b.end.kind) for b in mixed)
    for b in mixed:
        assert "outside what the cross-section is made for" not in b.remark


@pytest.mark.parametrize("pitch", [0.25, 0.5, 1.0])
def test_caps_of_two_systems_meet_without_a_gap(pitch: float) -> None:
    # a hip roof with seams on the south: the ridge and two hips are mixed, the other hips ribbed.
    # Folded back by the tests' own road their colour sides meet; a mixed cap begins on the ribs
    house = section(RECTANGLE, [pitch] * 4)
    made = Shop(with_seams(project(house, system=RIBBED), "South 1").project)
    place = roof_node(28, 12, 12 * pitch)
    normals = {name: plane_normal(pitch, way) for name, way in
               (("south", SOUTH), ("east", EAST), ("north", NORTH))}  # fmt: skip
    mixed_hip = "half hip cap and half seam hip cap"
    ridge = Fitted(made, CAP, "Ridge 1", place, normals["north"])
    low_hip = Fitted(made, mixed_hip, "Hip 1", place, normals["east"])
    high_hip = Fitted(made, "hip cap", "Hip 3", place, normals["east"])
    caps = ridge, low_hip, high_hip
    assert [c.blank.start.kind == "mitre" or c.blank.end.kind == "mitre" for c in caps] == [
        *(3 * [True])
    ]
    assert apart(caps) < CHORDS_MM
    for one, two in (
        (ridge.second, low_hip.second),  # on the seams
        (ridge.first, high_hip.second),
        (low_hip.first, high_hip.first),
    ):
        legs = without_bend(one, place), without_bend(two, place)
        assert len(legs[0]) == len(legs[1]) > 3
        assert gap(*legs) < 1e-6


def test_a_section_of_its_own_goes_before_the_derived_one() -> None:
    results = gable("North 1")
    cap = next(p for p in built_in_parts() if p.name == "ridge cap")
    own = msgspec.structs.replace(cap, name=CAP, legs=tuple(
        msgspec.structs.replace(leg, length=7.0 * IN) for leg in cap.legs
    ))  # fmt: skip
    job = msgspec.structs.replace(results.project, parts=(*results.project.parts, own))
    caps = [b for b in blanks(results_of(job)) if b.run.part == CAP]
    assert {b.profile for b in caps} == {own}


def test_the_package_of_a_house_in_two_systems(tmp_path: Path) -> None:
    done = write_shop_package(tmp_path / "package", gable("North 1"), no_picture)
    names = set(done.files)
    stem = "Half_ridge_cap_and_half_seam_ridge_cap"
    assert f"trim_sections/{stem}.dxf" in names
    assert {f"trim_blanks/{stem}_{k}.dxf" for k in (1, 2, 3)} < names
    assert not any("Ridge_cap" in n or "Seam_ridge_cap" in n for n in names)
    for name in names:
        if name.endswith(".dxf"):
            assert not readfile(tmp_path / "package" / name).audit().errors
    text = (tmp_path / "package" / "trim_list.csv").read_text("utf-8-sig")
    assert f"H{CAP[1:]} 1" in text
    assert "closed .500 in down at first border; open .500 in down" in text
