"""Buildings and coverings: what counts where, and that the parts add up to the whole."""

from __future__ import annotations

import dataclasses
import math
import random
from collections.abc import Sequence
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import (
    NOT_IN_JOB,
    OTHER,
    Building,
    PlaneCovering,
    Project,
    Section,
)
from roofmodel.results import Results, results_of
from roofmodel.surface import Surface
from roofmodel.systems import EdgeKind as K
from roofmodel.systems import TrimRule
from roofmodel.takeoff import TakeOff, building_names, covering_names, take_off
from roofmodel_io.project_file import read_project
from tests.houses import FT, GABLE, RECTANGLE, plain_system, section
from tests.takeoff.boards import box, edge, south_plane

IN = 25.4
SF = math.sqrt(1.25)
WIDE = plain_system()
NARROW = msgspec.structs.replace(plain_system(16.0), id="narrow", name="Narrow panel")
EXACT = 1e-12
"""The parts are the same numbers in another order."""


def house_and_garage(
    garage: str = "narrow", planes: Sequence[tuple[str, str]] = (), house: str = ""
) -> Project:
    """A gable of 40 by 24 and a hip of 20 by 20, both 6/12, 60 ft apart."""
    main = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    hip = section(((100, 0), (120, 0), (120, 20), (100, 20)), [0.5] * 4, section_id="s2")
    return Project(
        WIDE,
        buildings=(
            Building("b1", "House", (main,), covering=house),
            Building("b2", "Garage", (hip,), covering=garage),
        ),
        more_systems=(NARROW,),
        plane_coverings=tuple(PlaneCovering(p, c) for p, c in planes),
    )


def lines(taken: TakeOff) -> dict[tuple[str, str], float]:
    keys = [(q.group, q.item) for q in taken.quantities]
    assert len(set(keys)) == len(keys)
    return {(q.group, q.item): q.quantity for q in taken.quantities}


def check_sums(taken: TakeOff) -> None:
    """Whatever the roof: parts add up to the whole."""
    got = lines(taken)
    for kind in ("Building: ", "Covering: "):
        parts = {g for g, _ in got if g.startswith(kind)}
        for (group, item), value in got.items():
            if group not in ("Roof", "Edges") or not parts:
                continue
            total = math.fsum(got.get((g, item), 0.0) for g in parts)
            assert total == pytest.approx(value, rel=EXACT), (kind, item)
    if ("Roof", "Roof area") in got:
        each = math.fsum(v for (g, _), v in got.items() if g == "Planes")
        assert got["Roof", "Roof area"] == pytest.approx(each, rel=EXACT)
        squares = got["Roof", "Roof squares"] * 100 * FT**2
        assert got["Roof", "Roof area"] == pytest.approx(squares, rel=EXACT)
    edges = math.fsum(v for (g, _), v in got.items() if g == "Edges")
    each = math.fsum(v for (g, _), v in got.items() if g == "Each edge")
    assert edges == pytest.approx(each, rel=EXACT)
    for unit, own in (
        ("Panels, all", len(taken.panels)),
        ("Metal, net", math.fsum(p.net_area for p in taken.panels)),
        ("Metal, gross", math.fsum(p.gross_area for p in taken.panels)),
    ):
        by_system = math.fsum(v for (g, i), v in got.items() if g[:7] == "Panels:" and i == unit)
        assert by_system == pytest.approx(own, rel=EXACT)
        if ("All systems", unit) in got:
            assert got["All systems", unit] == pytest.approx(own, rel=EXACT)
        if any(g.startswith("Building: ") for g, _ in got):
            by_building = math.fsum(
                v for (g, i), v in got.items() if g[:9] == "Building:" and i.startswith(unit)
            )
            assert by_building == pytest.approx(own, rel=EXACT)
    bars = sum(len(p.bars) for p in taken.cutting_plans)
    assert bars == sum(v for (g, _), v in got.items() if g.split(":")[0] == "Trim")
    assert bars == got.get(("All systems", "Trim lengths, all"), bars)
    if any(g.startswith("Building: ") for g, _ in got):
        assert bars == sum(v for (g, i), v in got.items() if g[:9] == "Building:" and " long" in i)


def test_two_buildings_in_two_systems() -> None:
    # house 40·24·√1.25 = 1073.31, garage 20·20·√1.25 = 447.21; house: ridge 40, eaves 80, rakes
    # 4·√180; garage: no ridge, four hips of 15 (run 10·√2, rise 5), eaves 80
    taken = results_of(house_and_garage()).take_off
    got = lines(taken)
    assert got["Roof", "Roof area"] / FT**2 == pytest.approx(1360 * SF, rel=1e-9)
    assert got["Building: House", "Roof area"] / FT**2 == pytest.approx(960 * SF, rel=1e-9)
    assert got["Building: Garage", "Roof area"] / FT**2 == pytest.approx(400 * SF, rel=1e-9)
    assert got["Covering: Narrow panel", "Plan area"] / FT**2 == pytest.approx(400, rel=1e-9)
    assert got["Edges", "Eave, all"] / FT == pytest.approx(160, rel=1e-9)
    assert got["Building: House", "Eave, all"] / FT == pytest.approx(80, rel=1e-9)
    assert got["Building: Garage", "Hip, all"] / FT == pytest.approx(60, rel=1e-9)
    assert ("Building: Garage", "Ridge, all") not in got
    # house 2·14 panels of 36 in; garage 4 planes of 240 in ÷ 16 = 15
    assert got["Panels: Plain panel", "Panels, all"] == 28
    assert got["Panels: Narrow panel", "Panels, all"] == 60
    assert got["All systems", "Panels, all"] == 88
    assert got["Building: Garage", "Panels, all, Narrow panel"] == 60
    # stock 126 in, lap 4 in: 480 in = 3 whole + 114, 161 = 1 + 39, 180 = 1 + 58, 240 = 1 + 118;
    # three 39s and two 58s come from one length, so rakes take 4 + 2, hips 4 + 2
    assert got["Trim: Plain panel", "Ridge trim, 10'-6\" long"] == 4
    assert got["Trim: Plain panel", "Eave trim, 10'-6\" long"] == 8
    assert got["Trim: Plain panel", "Rake trim, 10'-6\" long"] == 6
    assert got["Trim: Narrow panel", "Eave trim, 10'-6\" long"] == 8
    assert got["Trim: Narrow panel", "Hip trim, 10'-6\" long"] == 6
    assert got["All systems", "Trim lengths, all"] == 32
    check_sums(taken)


def test_other_planes_count_with_area_and_edges_only() -> None:
    taken = results_of(house_and_garage(OTHER)).take_off
    got = lines(taken)
    assert got["Roof", "Roof area"] / FT**2 == pytest.approx(1360 * SF, rel=1e-9)
    assert got["Covering: other", "Roof area"] / FT**2 == pytest.approx(400 * SF, rel=1e-9)
    assert got["Covering: other", "Hip, all"] / FT == pytest.approx(60, rel=1e-9)
    assert {p.system for p in taken.panels} == {"plain"}
    assert {t.building for t in taken.trim} == {"b1"}
    assert not [i for g, i in got if g == "Building: Garage" and ("anel" in i or "trim" in i)]
    assert "Trim" in {g for g, _ in got}
    check_sums(taken)


def test_planes_not_in_the_job_count_in_nothing() -> None:
    alone = results_of(house_and_garage(NOT_IN_JOB)).take_off
    house = msgspec.structs.replace(house_and_garage(), buildings=house_and_garage().buildings[:1])
    assert lines(alone) == lines(results_of(house).take_off)
    assert not [w for w in alone.warnings if "s2" in w]
    check_sums(alone)
    nothing = results_of(house_and_garage(NOT_IN_JOB, house=NOT_IN_JOB)).take_off
    assert (nothing.panels, nothing.trim, nothing.quantities, nothing.edges) == (
        (), (), (), frozenset(),
    )  # fmt: skip


def test_one_plane_may_have_its_own_covering() -> None:
    # the house's north side in the other system, its south side not in the job: the ridge counts
    # with the covered plane, the south eave and rakes nowhere
    plain = results_of(house_and_garage())
    ids = {p.name: str(p.id) for p in plain.surface.planes if p.building == "b1"}
    project = house_and_garage(OTHER, [(ids["North 1"], "narrow"), (ids["South 1"], NOT_IN_JOB)])
    taken = results_of(project).take_off
    got = lines(taken)
    assert got["Building: House", "Plan area"] / FT**2 == pytest.approx(480, rel=1e-9)
    assert got["Covering: Narrow panel", "Ridge, all"] / FT == pytest.approx(40, rel=1e-9)
    assert got["Covering: Narrow panel", "Eave, all"] / FT == pytest.approx(40, rel=1e-9)
    assert got["Panels: Narrow panel", "Panels, all"] == 30
    assert ("Covering: Plain panel", "Roof area") not in got
    ridge = next(t for t in taken.trim if t.kind is K.RIDGE)
    assert ridge.system == "narrow"
    assert "between Narrow panel and not in this job, counted with Narrow panel" in ridge.note
    check_sums(taken)


def two_planes(coverings: tuple[str, str], buildings: tuple[str, str]) -> tuple[Surface, Project]:
    """Two planes of 20 by 12 side by side, a hip line between them, their eaves in line."""
    one, edges = south_plane(
        box(0, 0, 20, 12), (K.EAVE, K.RAKE, K.HIGH_EAVE, K.RAKE), 0.5, building=buildings[0]
    )
    two, more = south_plane(
        box(20, 0, 40, 12), (K.EAVE, K.RAKE, K.HIGH_EAVE, K.RAKE), 0.5,
        name="South 2", building=buildings[1],
    )  # fmt: skip
    shared = edge((one.id, two.id), K.HIP, (20, 0, 0), (20, 12, 6), 1, two.id, 5.0)
    own = [e for e in (*edges, *more) if {float(e.start[0]), float(e.end[0])} != {20 * FT}]
    own = [dataclasses.replace(e, name=f"{e.kind.capitalize()} {k}") for k, e in enumerate(own, 1)]
    surface = Surface((one, two), (*own, shared), ())
    project = Project(
        WIDE,
        buildings=(Building("b1", "House"), Building("b2", "Barn")),
        more_systems=(NARROW,),
        plane_coverings=tuple(
            PlaneCovering(str(p), c) for p, c in zip((one.id, two.id), coverings, strict=True)
        ),
    )
    return surface, project


@pytest.mark.parametrize(
    ("coverings", "owner", "words"),
    [
        (("plain", "narrow"), "plain", "between Plain panel and Narrow panel"),
        (("narrow", "plain"), "narrow", "between Narrow panel and Plain panel"),
        ((OTHER, "narrow"), "narrow", "between Narrow panel and other"),
        ((NOT_IN_JOB, "narrow"), "narrow", "between Narrow panel and not in this job"),
        ((OTHER, NOT_IN_JOB), "", "between other and not in this job"),
        ((NOT_IN_JOB, NOT_IN_JOB), None, ""),
    ],
)
def test_an_edge_between_coverings_counts_once(
    coverings: tuple[str, str], owner: str | None, words: str
) -> None:
    taken = take_off(*two_planes(coverings, ("b1", "b1")))
    hips = [t for t in taken.trim if t.kind is K.HIP]
    assert [t.system for t in hips] == ([owner] if owner else [])
    lengths = [q for q in taken.quantities if q.item == "Hip, all" and q.group == "Edges"]
    if owner is None:
        assert lengths == []
        return
    assert lengths[0].quantity / FT == pytest.approx(12 * SF)
    assert words in lengths[0].how
    each = next(q for q in taken.quantities if q.group == "Each edge" and q.item == "Hip 1")
    assert words in each.note
    check_sums(taken)


def test_runs_end_where_buildings_and_systems_change() -> None:
    # eaves of 20 and 20 in line: a stock of 45 ft covers both as one run, and each one apart
    stock = {k: (TrimRule(f"{k} trim", 45 * FT, 4 * IN),) for k in K}
    for coverings, buildings, runs in (
        (("plain", "plain"), ("b1", "b1"), 1),
        (("plain", "plain"), ("b1", "b2"), 2),
        (("plain", "narrow"), ("b1", "b1"), 2),
    ):
        surface, project = two_planes(coverings, buildings)
        project = msgspec.structs.replace(
            project,
            system=msgspec.structs.replace(WIDE, trim=stock),
            more_systems=(msgspec.structs.replace(NARROW, trim=stock),),
        )
        taken = take_off(surface, project)
        eaves = [t for t in taken.trim if t.kind is K.EAVE]
        assert [t.pieces for t in eaves] == [1] * runs
        names = ["Eave 1 and Eave 4"] if runs == 1 else ["Eave 1", "Eave 4"]
        assert [t.edge_name for t in eaves] == names
        assert sum(t.length for t in eaves) / FT == pytest.approx(40)
        check_sums(taken)
    surface, project = two_planes(("plain", "plain"), ("b1", "b2"))
    shared = next(t for t in take_off(surface, project).trim if t.kind is K.HIP)
    assert shared.building == "b1"
    assert "between House and Barn, counted with House" in shared.note


def test_names_are_told_apart() -> None:
    twin = msgspec.structs.replace(NARROW, id="twin", name="Plain panel")
    odd = msgspec.structs.replace(NARROW, id="odd", name="other")
    project = Project(
        WIDE,
        buildings=(Building("b1", "House"), Building("b2", "House")),
        more_systems=(twin, odd),
    )
    assert covering_names(project) == {
        "plain": "Plain panel", "twin": "Plain panel (2)", "odd": "other (2)",
        OTHER: OTHER, NOT_IN_JOB: NOT_IN_JOB,
    }  # fmt: skip
    assert building_names(project) == {"b1": "House", "b2": "House (2)"}


def test_lines_name_their_building_and_covering() -> None:
    taken = results_of(house_and_garage()).take_off
    for q in taken.quantities:
        if q.group == "Building: Garage":
            assert (q.building, q.covering) == ("Garage", "Narrow panel")
        if q.group in ("Roof", "All systems"):
            assert (q.building, q.covering) == ("", "")
        if q.group in ("Planes", "Each edge"):
            assert q.building
            assert q.covering
        assert q.how
        assert q.source


def test_flat_planes_are_named_only_where_panels_are_missed() -> None:
    deck = msgspec.structs.replace(section(RECTANGLE, [0.5] * 4), deck_height=3 * FT)

    def warned(covering: str) -> bool:
        project = Project(WIDE, buildings=(Building("b1", "House", (deck,), covering=covering),))
        return any("is flat" in w for w in results_of(project).take_off.warnings)

    assert warned("")
    assert not warned(OTHER)
    assert not warned(NOT_IN_JOB)


@pytest.mark.parametrize("seed", range(6))
def test_any_mix_of_coverings_adds_up(seed: int) -> None:
    rnd = random.Random(seed)
    sections: list[Section] = []
    for k in range(4):
        x = 60 * k
        corners = ((x, 0), (x + 40, 0), (x + 40, 24), (x + 16, 24), (x + 16, 40), (x, 40))
        slopes = [rnd.choice((0.25, 0.5, 1.0)) for _ in corners]
        sections.append(section(corners, slopes, section_id=f"s{k}"))
    choices = ("", "narrow", OTHER, NOT_IN_JOB)
    project = Project(
        WIDE,
        buildings=(
            Building("b1", "House", tuple(sections[:2]), covering=rnd.choice(choices)),
            Building("b2", "House", tuple(sections[2:]), covering=rnd.choice(choices)),
        ),
        more_systems=(NARROW,),
    )
    planes = results_of(project).surface.planes
    some = [PlaneCovering(str(p.id), rnd.choice(choices)) for p in planes if rnd.random() < 0.6]
    results: Results = results_of(msgspec.structs.replace(project, plane_coverings=tuple(some)))
    check_sums(results.take_off)


SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_sample_projects_add_up(path: Path) -> None:
    project = read_project(path).project
    results = results_of(project)
    check_sums(results.take_off)
    # without shifts, and trim that panels stop short of, the metal of every sloping plane is the
    # plane, whatever its openings
    bare = msgspec.structs.replace(project.system, shifts={}, lap_leg=0.0)
    taken = take_off(results.surface, msgspec.structs.replace(project, system=bare, parts=()))
    for plane in results.surface.planes:
        net = math.fsum(p.net_area for p in taken.panels if p.plane == plane.id)
        # a deck takes no panels, and a saddle is bent from flat sheet
        none = plane.slope == 0.0 or any(o.id == plane.id.section for o in project.openings())
        assert net == pytest.approx(0.0 if none else plane.true_area, rel=1e-6)
