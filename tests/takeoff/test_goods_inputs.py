"""One input changed at a time moves only the lines it should; every printed formula evaluates."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import msgspec
import pytest

from roofmodel.document import PanelLayout, Project, Units
from roofmodel.results import results_of
from roofmodel.systems import RoofingSystem
from roofmodel.systems.fixing import PACKS, Fixing, Pack
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.houses import FT, GABLE, box, opening, project, section
from tests.takeoff.goods import goods, goods_lines
from tests.takeoff.printed_formula import check

RIBBED = next(s for s in built_in_systems() if s.id == "ribbed_panel")
SEAM = next(s for s in built_in_systems() if s.id == "standing_seam")
SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))

Goods = dict[str, tuple[float, int]]


def house(system: RoofingSystem) -> Project:
    """A low gable, 2.5/12, with a chimney and a pipe: it takes some of everything."""
    return project(
        section(box(0, 0, 60, 40), (2.5 / 12, GABLE, 2.5 / 12, GABLE), eave_ft=12),
        opening(box(18, 4, 21, 6)),
        opening(box(30, 5, 30.5, 5.5), "pipe", opening_id="o2"),
        system=system,
    )


@lru_cache(maxsize=2)
def before(system_id: str) -> Goods:
    return goods(results_of(house(RIBBED if system_id == RIBBED.id else SEAM)).take_off)


def moved(system: RoofingSystem, edit: Callable[[Project], Project]) -> set[str]:
    old, new = before(system.id), goods(results_of(edit(house(system))).take_off)
    return {k for k in {*old, *new} if old.get(k) != new.get(k)}


def within(table: str, **values: Any) -> Callable[[Project], Project]:
    """An edit of one of the tables of the first system's fixing, of `fixing` itself if ""."""

    def edit(made: Project) -> Project:
        fixing = made.system.fixing
        if table:
            changed = msgspec.structs.replace(getattr(fixing, table), **values)
            fixing = msgspec.structs.replace(fixing, **{table: changed})
        else:
            fixing = msgspec.structs.replace(fixing, **values)
        system = msgspec.structs.replace(made.system, fixing=fixing)
        return msgspec.structs.replace(made, system=system)

    return edit


def part(name: str, **values: Any) -> Callable[[Project], Project]:
    """An edit of how one part of the trim is held."""

    def edit(made: Project) -> Project:
        fixing = made.system.fixing
        rule = msgspec.structs.replace(fixing.trim_of(name), **values)
        return within("", trim={**fixing.trim, name: rule})(made)

    return edit


def pack(key: str, size: float) -> Callable[[Project], Project]:
    return lambda made: within("", packs={**made.system.fixing.packs, key: Pack("pack", size)})(
        made
    )


RIBBED_EDITS: dict[str, tuple[Callable[[Project], Project], set[str]]] = {
    "field rows": (within("screws", field=24 * 25.4), {"panel screw"}),
    "rows in the zone": (within("screws", edge=12 * 25.4), {"panel screw"}),
    "double rows": (within("screws", ends_per_rib=3), {"panel screw"}),
    "zone": (within("zone", width=8 * FT), {"panel screw"}),
    "clips": (within("clips", field=300.0, screws=3), set()),
    "stitches": (within("screws", low_stitch=500.0), {"stitch screw"}),
    "stitches on steep planes": (within("screws", stitch=500.0), set()),
    "side laps": (within("tape", side_laps=2), {"butyl tape roll"}),
    "end laps": (within("tape", end_laps=3), set()),
    "tape": (within("tape", edges={}), {"butyl tape roll"}),
    "beads": (within("sealant", edges={}), {"sealant tube"}),
    "bead of boots": (within("sealant", boot=2000.0), {"sealant tube"}),
    "boots": (within("", boot_screws=12), {"trim screw"}),
    "closures": (within("closures", inside=()), {"inside closure"}),
    "ridge cap": (part("ridge cap", spacing=6 * 25.4), {"trim screw"}),
    "rivets": (part("ridge cap", rivets=2), {"rivet"}),
    "lap bead": (part("ridge cap", lap_bead=500.0), {"sealant tube"}),
    "tape on trim": (part("back pan", tape=1), {"butyl tape roll"}),
    "drip edge": (part("eave drip edge", spacing=8 * 25.4), {"pancake screw"}),
    "pack": (pack("panel screw", 1000), {"panel screw"}),
    "vent": (
        lambda made: msgspec.structs.replace(made, layout=PanelLayout(vented=True)),
        # strip for closures and tape; metal that stops an inch further down takes as many screws
        {"vent strip roll", "outside closure", "butyl tape roll"},
    ),
}
SEAM_EDITS: dict[str, tuple[Callable[[Project], Project], set[str]]] = {
    "clips": (within("clips", field=18 * 25.4), {"clip", "pancake screw"}),
    "clips in the zone": (within("clips", edge=6 * 25.4), {"clip", "pancake screw"}),
    "screws in a clip": (within("clips", screws=3), {"pancake screw"}),
    "panel screws": (within("screws", field=600.0, stitch=100.0), set()),
    "closures": (within("closures", inside=("eave",)), set()),
    "tape of Z closures": (part("Z closure", tape=1), {"butyl tape roll"}),
    "Z closures": (part("Z closure", spacing=8 * 25.4), {"pancake screw"}),
    "rake trim": (part("seam rake trim", rows=2), {"trim screw"}),
}


@pytest.mark.parametrize("name", RIBBED_EDITS)
def test_one_input_of_the_ribbed_panel(name: str) -> None:
    edit, expected = RIBBED_EDITS[name]
    assert moved(RIBBED, edit) == expected


@pytest.mark.parametrize("name", SEAM_EDITS)
def test_one_input_of_the_standing_seam(name: str) -> None:
    edit, expected = SEAM_EDITS[name]
    assert moved(SEAM, edit) == expected


def test_goods_change_no_other_line() -> None:
    made = house(RIBBED)
    plain = msgspec.structs.replace(made, system=msgspec.structs.replace(RIBBED, fixing=Fixing()))
    ours = (*PACKS, "")

    def others(p: Project) -> list[tuple[str, str, float, str]]:
        return [
            (q.group, q.item, q.quantity, q.how)
            for q in results_of(p).take_off.quantities
            if q.key not in ours or (not q.key and q.group != "Fasteners of each plane")
        ]

    assert others(made) == others(plain)
    assert len(others(made)) > 40


@pytest.mark.parametrize("system", [RIBBED, SEAM], ids=lambda s: s.id)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_formulas_of_all_samples(path: Path, system: RoofingSystem) -> None:
    made = read_project(path).project
    made = msgspec.structs.replace(
        made,
        system=system,
        more_systems=(),
        plane_coverings=(),
        buildings=tuple(msgspec.structs.replace(b, covering="") for b in made.buildings),
    )
    for units in (Units("feet", 8), Units("feet", 16), Units("metric")):
        taken = results_of(msgspec.structs.replace(made, units=units)).take_off
        lines = [q for q in taken.quantities if q.group == "Fasteners of each plane"]
        assert len(lines) >= len(taken.fixings)
        for line in (*lines, *goods_lines(taken)):
            check(line, units)
            assert line.planes or line.edges
        fasteners = {"panel screw", "clip"}
        total = sum(q.quantity for q in taken.quantities if q.key in fasteners)
        assert total == sum(f.count for f in taken.fixings)
        for fixing in taken.fixings:
            assert sum(r.places * r.each for r in fixing.rows) == fixing.count
