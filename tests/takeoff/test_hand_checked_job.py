"""One job worked by hand, every line of its totals: a house in wide panels, a garage in narrow
ones, and a side of the garage that is not in the job. Feet, square feet.

House: a gable of 40 by 24. Garage: 20 by 20, hipped all round to a peak. Both 6/12, so each foot
of plan is s = √1.25 along the slope. Panels have no lap leg and no set-backs; trim comes in 126 in
with laps of 4 in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import msgspec
import pytest

from roofmodel.document import NOT_IN_JOB, Building, PlaneCovering, Project, Units
from roofmodel.results import Results, results_of
from tests.houses import FT, GABLE, RECTANGLE, plain_system, section
from tests.takeoff.printed_formula import check

S = math.sqrt(1.25)
GROUPS = ("Roof", "Building", "Covering", "Planes", "Edges", "Panels", "All systems", "Trim")

# House. Two planes of 40 by 12 in plan; ridge 40, eaves 2 · 40; four rakes 12 s = 13.4164.
HOUSE = {
    "Roof area": 960 * S,  # 1073.31
    "Roof squares": 9.6 * S,
    "Plan area": 960,
    "Ridge, all": 40,
    "Eave, all": 80,
    "Rake, all": 48 * S,  # 53.67
}
# Panels of 3 ft: 40 ÷ 3 = 13.3, so 14 to a plane, each 12 s long.
HOUSE_PANELS = {
    "Panels, all": 28,
    "Panel length, all": 28 * 12 * S,  # 375.66
    "Metal, gross": 28 * 12 * S * 3,  # 1126.98
    "Metal, net": 960 * S,
    "Waste on net area": 42 / 40 - 1,
}
# Ridge 480 in = 3 · 126 + 114 − 3 · 4: 4 lengths. Eaves the same, twice, and no 114 pairs with
# another: 8. Rakes 161.0 in = 126 + 39 − 4: 4 whole ones, and three 39s from one length: 4 + 2.
HOUSE_TRIM = {
    "Ridge trim, 10'-6\" long": 4,
    "Eave trim, 10'-6\" long": 8,
    "Rake trim, 10'-6\" long": 6,
}
# Garage. Each side is 20 · 10 ÷ 2 = 100 in plan, three of them in the job with their eaves of 20.
# Hips √(10² + 10² + 5²) = 15; all four have a side in the job.
GARAGE = {
    "Roof area": 300 * S,  # 335.41
    "Roof squares": 3 * S,
    "Plan area": 300,
    "Hip, all": 60,
    "Eave, all": 60,
}
# Panels of 4/3 ft: 20 ÷ 4/3 = 15 to a side. The first seven rise 4/3 s each, the eighth lies
# under the peak and is 10 s, the others fall: 2 · 4/3 · (1 + 2 + … + 7) s + 10 s = 254/3 s.
SIDE = 254 / 3 * S  # 94.66
GARAGE_PANELS = {
    "Panels, all": 45,
    "Panel length, all": 3 * SIDE,
    "Metal, gross": 4 * SIDE,  # 378.64
    "Metal, net": 300 * S,
    "Waste on net area": 254 / 225 - 1,  # (254/3 · 4/3) ÷ 100
}
# Hips 180 in = 126 + 58 − 4: 4 whole ones, and two 58s from one length: 4 + 2. Eaves 240 in =
# 126 + 118 − 4: 3 + 3.
GARAGE_TRIM = {"Hip trim, 10'-6\" long": 6, "Eave trim, 10'-6\" long": 6}


def named(group: str, lines: Mapping[str, float], after: str = "") -> dict[tuple[str, str], float]:
    return {(group, item + after): value for item, value in lines.items()}


EXPECTED: dict[tuple[str, str], float] = {
    # 960 + 300 in plan
    **named("Roof", {"Roof area": 1260 * S, "Roof squares": 12.6 * S, "Plan area": 1260}),
    **named("Building: House", HOUSE),
    **named("Building: House", HOUSE_PANELS | HOUSE_TRIM, ", Wide panel"),
    **named("Building: Garage", GARAGE),
    **named("Building: Garage", GARAGE_PANELS | GARAGE_TRIM, ", Narrow panel"),
    **named("Covering: Wide panel", HOUSE),
    **named("Covering: Narrow panel", GARAGE),
    **named("Planes", dict.fromkeys(("South 1, 6/12", "North 1, 6/12"), 480 * S)),
    **named("Planes", dict.fromkeys(("South 2, 6/12", "East 1, 6/12", "North 2, 6/12"), 100 * S)),
    **named("Edges", {"Ridge, all": 40, "Hip, all": 60, "Eave, all": 140, "Rake, all": 48 * S}),
    **named(
        "All systems",
        {
            "Panels, all": 73,
            "Metal, gross": 1008 * S + 4 * SIDE,
            "Metal, net": 1260 * S,
            "Trim lengths, all": 4 + 8 + 6 + 6 + 6,
        },
    ),
    **named("Panels: Wide panel", HOUSE_PANELS),
    **named("Panels: Wide panel", {"Panels on South 1": 14, "Panels on North 1": 14}),
    **named("Panels: Narrow panel", GARAGE_PANELS),
    # every panel of a hipped side ends along a hip, the eighth along two
    **named(
        "Panels: Narrow panel",
        {
            f"{words} on {plane}": 15
            for plane in ("South 2", "East 1", "North 2")
            for words in ("Panels", "Ends not cut square")
        },
    ),
    **named("Trim: Wide panel", HOUSE_TRIM),
    **named("Trim: Narrow panel", GARAGE_TRIM),
}


def job(units: Units) -> Results:
    wide = msgspec.structs.replace(plain_system(), name="Wide panel")
    narrow = msgspec.structs.replace(plain_system(16.0), id="narrow", name="Narrow panel")
    main = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    hip = section(((100, 0), (120, 0), (120, 20), (100, 20)), [0.5] * 4, section_id="s2")
    project = Project(
        wide,
        buildings=(
            Building("b1", "House", (main,)),
            Building("b2", "Garage", (hip,), covering="narrow"),
        ),
        more_systems=(narrow,),
        units=units,
    )
    west = next(p for p in results_of(project).surface.planes if p.name == "West 1")
    covered = (PlaneCovering(str(west.id), NOT_IN_JOB),)
    return results_of(msgspec.structs.replace(project, plane_coverings=covered))


@pytest.mark.parametrize("units", [Units(), Units("feet", 16), Units("metric")])
def test_every_line_of_the_totals(units: Units) -> None:
    per = {"mm": FT, "mm²": FT**2}
    lines = [q for q in job(units).take_off.quantities if is_total(q.group)]
    got = {(q.group, q.item): q.quantity / per.get(q.unit, 1.0) for q in lines}
    assert len(got) == len(lines)
    if units.system == "metric":
        got = {(g, i.replace("3200 mm", "10'-6\"")): value for (g, i), value in got.items()}
    assert got == pytest.approx(EXPECTED, rel=1e-9, abs=1e-9)
    for line in lines:
        check(line, units)


def is_total(group: str) -> bool:
    """Is it one of the groups worked here? Others have lists of their own."""
    return group.split(":")[0] in GROUPS


def test_what_is_printed() -> None:
    lines = {(q.group, q.item): q for q in job(Units()).take_off.quantities}
    printed = {
        ("Roof", "Roof squares"): "1408.72 sq ft ÷ 100 sq ft (one square)",
        ("Edges", "Hip, all"): (
            "15'-0\" (Hip 1) + 15'-0\" (Hip 2, between Narrow panel and not in this job, counted"
            " with Narrow panel) + 15'-0\" (Hip 3) + 15'-0\" (Hip 4, between Narrow panel and not"
            " in this job, counted with Narrow panel)"
        ),
        ("Each edge", "Hip 1"): "√((14'-1 3/4\")² (in plan) + (5'-0\")² (rise))",
        ("Panels: Wide panel", "Panels on South 1"): (
            '40\'-0" (metal) ÷ 36" (coverage) rounded up'
        ),
        ("Panels: Narrow panel", "Waste on net area"): (
            "378.64 sq ft (gross) ÷ 335.41 sq ft (net) − 1"
        ),
        ("All systems", "Panels, all"): "28 (Wide panel) + 45 (Narrow panel)",
    }
    assert {key: lines[key].how for key in printed} == printed
    note = lines["Panels: Wide panel", "Panels on South 1"].note
    assert note.startswith("cut to 14 × 13'-5\"; laid from the left end to the right;")
