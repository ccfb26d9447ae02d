"""Every line of the take-off prints a formula that gives its quantity: all samples, both built-in
systems, feet to 1/8 and 1/16 in, metric."""

from __future__ import annotations

import random
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import PanelLayout, Project, Units
from roofmodel.results import results_of
from roofmodel.surface import Surface
from roofmodel.systems import EdgeKind, PanelRules, RoofingSystem
from roofmodel.takeoff import TakeOff, cut_lines, take_off
from roofmodel.takeoff.panel_lines import laying_lines
from roofmodel.takeoff.panels import Case, laying_of
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.houses import FT, L_SHAPE, box, project, section
from tests.surface.random_houses import house
from tests.takeoff.boards import south_plane
from tests.takeoff.printed_formula import check
from tests.takeoff.test_openings import odd_ring

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()
UNITS = (Units(), Units("feet", 16), Units("metric"))
IN = 25.4


def checked(taken: TakeOff, units: Units) -> dict[str, str]:
    """Every line is checked; the formulas by item."""
    out = {}
    for line in (*taken.quantities, *cut_lines(taken.cutting_plans, units)):
        check(line, units)
        out[line.item] = line.how
    assert out
    return out


def in_system(plain: Project, system: RoofingSystem, units: Units) -> Project:
    """The project with every plane in one system."""
    return msgspec.structs.replace(
        plain,
        system=system,
        more_systems=(),
        plane_coverings=(),
        buildings=tuple(msgspec.structs.replace(b, covering="") for b in plain.buildings),
        units=units,
    )


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_formulas_of_the_samples(path: Path) -> None:
    plain = read_project(path).project
    results = results_of(plain)
    checked(results.take_off, plain.units)
    for system in SYSTEMS:
        for units in UNITS:
            checked(counted(results.surface, in_system(plain, system, units)), units)
            laid = msgspec.structs.replace(
                in_system(plain, system, units),
                layout=PanelLayout("least metal", from_right=True),
                plane_layouts=(),
            )
            checked(counted(results.surface, laid), units)


@pytest.mark.parametrize("seed", range(12))
def test_formulas_of_random_houses(seed: int) -> None:
    # small and slanting edges, planes and cut-offs
    plain, units = house(seed), UNITS[seed % 3]
    surface = results_of(plain, planner=None).surface
    laid = msgspec.structs.replace(
        in_system(plain, SYSTEMS[seed % 2], units),
        layout=PanelLayout(("first end", "least metal")[seed // 6], from_right=seed % 5 == 0),
    )
    checked(counted(surface, laid), units)


def counted(surface: Surface, changed: Project) -> TakeOff:
    """Trim is only estimated, to be quick: as the job stands it is planned."""
    return take_off(surface, changed, planner=None)


def how_on(plain: Project, plane: str, units: Units) -> str:
    """The printed count of panels on a plane, checked."""
    changed = msgspec.structs.replace(plain, units=units)
    lines = results_of(changed, planner=None).take_off.quantities
    (line,) = (q for q in lines if q.item == f"Panels on {plane}")
    check(line, units)
    return line.how


RIBBED = RoofingSystem("r", "Ribbed", 36 * IN, 1.5 * IN, {}, {})
NARROW = RoofingSystem("n", "Narrow", 16 * IN, 0.0, {}, {})

COUNTS = [
    # 40 ft: (480 − 1.5) ÷ 36 = 13.3; 480 ÷ 16 is 30 exactly
    (RIBBED, 40.0, '(40\'-0" (metal) − 1 1/2" (last lap leg)) ÷ 36" (coverage) rounded up'),
    (NARROW, 40.0, '40\'-0" (metal) ÷ 16" (coverage) rounded up'),
    # 0.03 in more than 30 panels take is less than a millimetre: no one can measure it
    (NARROW, 40 + 0.03 / 12, '40\'-0" (metal) ÷ 16" (coverage) rounded up'),
    # 0.05 in more takes a panel more, and 1/8 in would not show it
    (NARROW, 40 + 0.05 / 12, '480.05" (metal) ÷ 16" (coverage) rounded up'),
    # a plane no wider than a lap leg takes one
    (RIBBED, 0.1, "1 (strips)"),
]


@pytest.mark.parametrize(("system", "width", "how"), COUNTS)
def test_the_count_of_panels_is_printed(system: RoofingSystem, width: float, how: str) -> None:
    shed = section(box(0, 0, width, 24), (0.5, float("inf"), float("inf"), float("inf")))
    plain = project(shed, system=system)
    assert how_on(plain, "South 1", Units()) == how
    how_on(plain, "South 1", Units("feet", 16))
    how_on(plain, "South 1", Units("metric"))


def test_what_no_one_can_measure_is_taken_off() -> None:
    # 0.035 in beyond 30 panels, less than a millimetre, takes no other; 1/16 in shows it
    shed = section(box(0, 0, 40 + 0.035 / 12, 24), (0.5, float("inf"), float("inf"), float("inf")))
    assert how_on(project(shed, system=NARROW), "South 1", Units("feet", 16)) == (
        '(480.04" (metal) − 0.05" (may stay open)) ÷ 16" (coverage) rounded up'
    )


@pytest.mark.parametrize("seed", range(60))
def test_odd_planes_print_their_count(seed: int) -> None:
    # planes such as no roof should have, panels such as no one makes
    rnd = random.Random(seed)
    ring, kinds = odd_ring(rnd), list(EdgeKind)
    plane, edges = south_plane(
        ring, [rnd.choice(kinds) for _ in ring], rnd.choice([0.1, 0.5, 2.0])
    )
    rules = PanelRules(longest=rnd.choice([None, 5 * FT, 12 * FT]))
    cover = rnd.choice([36 * IN, 16 * IN, 1000.0, 17.3 * IN, rnd.uniform(100, 900)])
    lap = rnd.choice([0.0, 1.5 * IN, 38.0])
    built_in = SYSTEMS[seed % 2]
    system = msgspec.structs.replace(built_in, coverage=cover, lap_leg=lap, panel=rules)
    for from_right in (False, True):
        for offset in (0.0, cover / 2, rnd.uniform(0, cover)):
            laying = laying_of(Case(plane, edges, system), "by hand", offset, from_right)
            for units in UNITS:
                for line in laying_lines([laying], system, "Panels", units):
                    check(line, units)


def test_split_strips_are_added() -> None:
    # 17.6 ft · 5/4 = 22 ft of rafter, panels of no more than 10 ft: with laps of 6 in three to a
    # strip, 7.67 ft each, 2.33 ft of room to stagger them; 4 strips, so 8 more
    rules = PanelRules(longest=10 * FT)
    shed = section(box(0, 0, 12, 17.6), (0.75, float("inf"), float("inf"), float("inf")))
    system = msgspec.structs.replace(RIBBED, panel=rules)
    how = how_on(project(shed, system=system), "South 1", Units())
    assert how.endswith('÷ 36" (coverage) rounded up + 8 (end laps)')


def test_a_first_panel_that_is_not_whole_is_added() -> None:
    # 40 ft, the first side 12 in from the end: 39 ft ÷ 36 in − the lap leg gives 13, and 1
    shed = section(box(0, 0, 40, 24), (0.5, float("inf"), float("inf"), float("inf")))
    plain = msgspec.structs.replace(
        project(shed, system=RIBBED), layout=PanelLayout("by hand", offset=12 * IN)
    )
    assert how_on(plain, "South 1", Units()) == (
        '(40\'-0" (metal) − 1\'-0" (first panel) − 1 1/2" (last lap leg)) ÷ 36" (coverage)'
        " rounded up + 1 (first panel)"
    )


def test_odd_names_do_not_break_a_formula() -> None:
    house = project(section(L_SHAPE, [0.5] * 6), system=RIBBED)
    names = ("2nd (of two) × 3", "+ ÷ 12'", "", "Ünder (")
    for name in names:
        second = msgspec.structs.replace(NARROW, name=f"{name} B")
        named = msgspec.structs.replace(
            house,
            system=msgspec.structs.replace(RIBBED, name=name),
            more_systems=(second,),
            buildings=tuple(
                msgspec.structs.replace(b, name=name, covering=("", "n")[k % 2])
                for k, b in enumerate(
                    (
                        *house.buildings,
                        msgspec.structs.replace(
                            house.buildings[0],
                            id="b2",
                            sections=(section(box(60, 0, 80, 20), [0.5] * 4, section_id="s2"),),
                        ),
                    )
                )
            ),
        )
        checked(results_of(named, planner=None).take_off, Units())
