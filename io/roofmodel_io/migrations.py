"""From each version of the project file to the next: dict -> dict, on the whole JSON.

Never change an old one: files of that version are out in the world. The values in them are
written out here, not taken from the program, for the program changes.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

Migration = Callable[[dict[str, Any]], dict[str, Any]]


def _to_2(content: dict[str, Any]) -> dict[str, Any]:
    """Ids are counted from now on, and a roofing system says what it does around openings."""
    project = dict(content["project"])
    used = [b["id"] for b in project.get("buildings", ())]
    buildings = []
    for building in project.get("buildings", ()):
        sections = []
        for section in building.get("sections", ()):
            used.append(section["id"])
            edges = [e["id"] for ring in section["rings"] for e in ring["edges"]]
            sections.append({**section, "ids_used": _highest(edges)})
        buildings.append({**building, "sections": sections})
    if "buildings" in project:
        project["buildings"] = buildings
    system = project["system"]
    project["system"] = {
        **system,
        "shifts": {**_SHIFTS_2, **system["shifts"]},
        "trim": {**_TRIM_2, **system["trim"]},
    }
    return {**content, "project": {**project, "ids_used": _highest(used)}}


def _highest(ids: list[str]) -> int:
    """The highest number in ids that are a letter and a number."""
    return max((int(i[1:]) for i in ids if i[1:].isdecimal()), default=0)


def _rule(part: str, source: str = "common practice") -> dict[str, Any]:
    return {"part": part, "stock_length": 3200.4, "lap": 101.6, "source": source}


_SHIFTS_2: Final = {"uphill side": -76.2, "downhill side": -25.4, "side": 0.0}
_TRIM_2: Final = {
    "uphill side": _rule("back pan"),
    "downhill side": _rule("apron flashing"),
    "side": _rule(
        "side flashing",
        "common practice; leg on the roof and up the side each 4 in or more: residential code"
        " R905.2.8.3, a shingle rule used as reference",
    ),
}


def _to_3(content: dict[str, Any]) -> dict[str, Any]:
    """All that came is optional, and what is absent means what it meant before."""
    return content


def _to_4(content: dict[str, Any]) -> dict[str, Any]:
    """An edge may take several parts of trim; a file of before has one for each kind of edge."""
    project = dict(content["project"])
    project["system"] = _with_lists(project["system"])
    if "more_systems" in project:
        project["more_systems"] = [_with_lists(s) for s in project["more_systems"]]
    return {**content, "project": project}


def _with_lists(system: dict[str, Any]) -> dict[str, Any]:
    return {**system, "trim": {kind: [rule] for kind, rule in system["trim"].items()}}


def _to_5(content: dict[str, Any]) -> dict[str, Any]:
    """All that came has a value that holds where a file does not say: how trim was slit before
    nobody wrote down."""
    return content


MIGRATIONS: Final[dict[int, Migration]] = {1: _to_2, 2: _to_3, 3: _to_4, 4: _to_5}
"""``MIGRATIONS[1]`` lifts version 1 to version 2."""
