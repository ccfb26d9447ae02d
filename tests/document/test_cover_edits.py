"""Coverings of buildings and planes, kinds set by hand, and the job's roofing systems."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from roofmodel.document import NOT_IN_JOB, OTHER, Project, cover_edits, edits, part_edits
from roofmodel.errors import DocumentError
from roofmodel.systems import EdgeKind, Leg, RoofingSystem, TrimProfile, TrimRule

RIBBED = RoofingSystem("ribbed", "Ribbed panel", 914.4, 0.0, {}, {})
SEAM = RoofingSystem("seam", "Standing seam", 406.4, 0.0, {}, {})
HOUSE = ((0.0, 0.0), (9000.0, 0.0), (9000.0, 6000.0), (0.0, 6000.0))
PLANE, EDGE = "s1/e1/0/0", "s1/e1/0/0|s1/e3/0/0|0"


def job() -> Project:
    project, _ = edits.new_section(Project(RIBBED), HOUSE)
    return cover_edits.add_system(part_edits.new_building(project, "Garage")[0], SEAM)


def test_a_plane_is_covered_as_its_building_or_by_itself() -> None:
    project = job()
    assert project.covering("b1", PLANE) == "ribbed"
    project = cover_edits.set_building_covering(project, "b1", "seam")
    assert project.covering("b1", PLANE) == "seam"
    assert project.covering("b2", PLANE) == "ribbed"
    for covering, counted in ((OTHER, OTHER), (NOT_IN_JOB, NOT_IN_JOB), ("", "ribbed")):
        by_hand = cover_edits.set_plane_covering(project, PLANE, covering)
        assert by_hand.covering("b1", PLANE) == counted
        assert by_hand.covering("b1", "s1/e2/0/0") == "seam"
        assert by_hand.section("s1") is project.section("s1")
        assert cover_edits.set_plane_covering(by_hand, PLANE, covering) is by_hand
        assert cover_edits.set_plane_covering(by_hand, PLANE, None) == project
    assert cover_edits.set_plane_covering(project, PLANE, None) is project
    assert cover_edits.set_building_covering(project, "b1", "seam") is project


def test_kinds_of_edges_are_set_and_given_back() -> None:
    project = cover_edits.set_edge_kind(job(), EDGE, EdgeKind.RIDGE)
    assert [(o.edge, o.kind) for o in project.edge_overrides] == [(EDGE, EdgeKind.RIDGE)]
    assert cover_edits.set_edge_kind(project, EDGE, EdgeKind.RIDGE) is project
    project = cover_edits.set_edge_kind(project, EDGE, EdgeKind.HIP)
    assert [o.kind for o in project.edge_overrides] == [EdgeKind.HIP]
    assert project.buildings is cover_edits.set_edge_kind(project, EDGE, None).buildings
    assert cover_edits.set_edge_kind(project, EDGE, None) == job()


def test_systems_are_added_changed_and_removed() -> None:
    project = job()
    assert [s.id for s in project.systems()] == ["ribbed", "seam"]
    wide = msgspec.structs.replace(SEAM, coverage=500.0)
    assert cover_edits.change_system(project, wide).more_systems == (wide,)
    first = msgspec.structs.replace(RIBBED, coverage=500.0)
    assert cover_edits.change_system(project, first).systems() == (first, SEAM)
    assert cover_edits.change_system(project, SEAM) is project
    assert cover_edits.change_system(project, RIBBED) is project
    removed = cover_edits.remove_system(project, "seam")
    assert removed.systems() == (RIBBED,)
    assert removed.buildings is project.buildings


REFUSED: list[tuple[Callable[[Project], Project], str]] = [
    (lambda p: cover_edits.add_system(p, SEAM), "already"),
    (lambda p: cover_edits.remove_system(p, "ribbed"), "first"),
    (lambda p: cover_edits.remove_system(p, "tiles"), "tiles"),
    (
        lambda p: cover_edits.remove_system(
            cover_edits.set_building_covering(p, "b2", "seam"), "seam"
        ),
        "Garage is covered with Standing seam",
    ),
    (
        lambda p: cover_edits.remove_system(
            cover_edits.set_plane_covering(p, PLANE, "seam"), "seam"
        ),
        "one roof plane is",
    ),
    (lambda p: cover_edits.set_building_covering(p, "b1", "tiles"), "tiles"),
    (lambda p: cover_edits.set_building_covering(p, "b9", OTHER), "b9"),
    (lambda p: cover_edits.set_plane_covering(p, PLANE, "tiles"), "tiles"),
    (
        lambda p: cover_edits.change_system(p, msgspec.structs.replace(SEAM, id="tiles")),
        "tiles",
    ),
]


@pytest.mark.parametrize(("edit", "words"), REFUSED)
def test_what_cannot_be_is_refused_in_one_sentence(
    edit: Callable[[Project], Project], words: str
) -> None:
    with pytest.raises(DocumentError, match=words) as caught:
        edit(job())
    assert str(caught.value).endswith(".")


def test_one_system_covers_the_whole_job() -> None:
    project = cover_edits.set_building_covering(job(), "b2", NOT_IN_JOB)
    project = cover_edits.set_plane_covering(project, PLANE, OTHER)
    project = cover_edits.set_plane_covering(project, "s9/e1/0/0", "seam")
    whole = cover_edits.cover_job(project, "seam")
    assert [s.id for s in whole.systems()] == ["seam", "ribbed"]
    assert [b.covering for b in whole.buildings] == ["", NOT_IN_JOB]
    assert [(c.plane, c.covering) for c in whole.plane_coverings] == [(PLANE, OTHER)]
    assert cover_edits.cover_job(whole, "seam") is whole
    # now that nothing is covered with it the first one can go
    assert cover_edits.remove_system(whole, "ribbed").systems() == (SEAM,)
    with pytest.raises(DocumentError, match="tiles"):
        cover_edits.cover_job(project, "tiles")


def test_a_plane_of_a_building_that_is_out_keeps_its_system() -> None:
    project = cover_edits.set_building_covering(job(), "b1", OTHER)
    part = project.buildings[0].part_ids()[0]
    project = cover_edits.set_plane_covering(project, f"{part}/e1/0/0", "ribbed")
    whole = cover_edits.cover_job(project, "seam")
    assert [c.covering for c in whole.plane_coverings] == [""]
    assert whole.system is SEAM


def test_a_system_is_put_in_the_place_of_the_one_with_its_id() -> None:
    wide = msgspec.structs.replace(SEAM, coverage=500.0)
    assert cover_edits.put_system(job(), wide).more_systems == (wide,)
    tiles = msgspec.structs.replace(SEAM, id="tiles")
    assert [s.id for s in cover_edits.put_system(job(), tiles).systems()][-1] == "tiles"


def test_a_system_brings_the_sections_that_the_job_lacks() -> None:
    def section(name: str, length: float) -> TrimProfile:
        return TrimProfile(name, (Leg("leg", length),))

    seam = msgspec.structs.replace(
        SEAM, trim={EdgeKind.RIDGE: (TrimRule("cap", 3000.0, 100.0), TrimRule("Z", 3000.0, 0.0))}
    )
    known = (section("cap", 50.0), section("Z", 60.0), section("pan", 70.0))
    project = cover_edits.change_system(job(), seam)
    own = msgspec.structs.replace(project, parts=(section("cap", 99.0),))
    done = cover_edits.add_sections(own, known)
    # its own stays, what nothing names stays away
    assert [(p.name, p.legs[0].length) for p in done.parts] == [("cap", 99.0), ("Z", 60.0)]
    assert cover_edits.add_sections(done, known) is done
    # a job without any gets all of them when it is read
    assert cover_edits.add_sections(project, known) is project
