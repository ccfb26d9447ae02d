"""Whether a job's trim can be bent and slit: what would stop its package, or come out wrong, known
as soon as there is a roof."""

from __future__ import annotations

from typing import NamedTuple

from roofmodel.document import Project
from roofmodel.errors import DocumentError
from roofmodel.parts import folded
from roofmodel.shop.lines import Roof
from roofmodel.surface import Surface
from roofmodel.takeoff.trim_sides import section_of
from roofmodel.takeoff.types import TakeOff
from roofmodel.units import format_angle, format_length


class TrimFindings(NamedTuple):
    """In sentences, one for each part: `faults`, with which no package can be made, and `doubts`,
    which are made but should be looked at."""

    faults: tuple[str, ...]
    doubts: tuple[str, ...]


def trim_findings(project: Project, surface: Surface, take_off: TakeOff) -> TrimFindings:
    """What is found where the trim is bent as this roof has it: faults are parts without a
    cross-section, and such as cannot be bent so; doubts are parts bent further, or less, than they
    are made for, and such as are wider than any coil for trim."""
    parts = {p.name: p for p in project.parts}
    roof, widest = Roof(surface), max(project.shop.trim_coils)
    faults: dict[str, str] = {}
    doubts: dict[tuple[str, str], str] = {}
    for run in take_off.trim:
        profile = section_of(run, parts)
        if profile is None:
            said = f"There is no cross-section for the part '{run.part}'; add one."
            faults.setdefault(run.part, said)
            continue
        fold = roof.line_of(run).fold
        if profile.too_flat(fold):
            continue  # left out of the package, and a warning of the take-off says so
        try:
            girth = folded(profile, fold).girth
        except DocumentError as error:
            faults.setdefault(run.part, str(error))
            continue
        low, high = profile.folds
        if not low <= fold <= high:
            made = f"{format_angle(low)} to {format_angle(high)}"
            doubts.setdefault(
                (run.part, "fold"),
                f"{run.edge_name}: the roof bends by {format_angle(fold)} there, and the part"
                f" '{run.part}' is made for {made}.",
            )
        if girth > widest:
            doubts.setdefault(
                (run.part, "girth"),
                f"The part '{run.part}' is {format_length(girth, project.units)} wide before it is"
                f" bent, and the widest coil for trim {format_length(widest, project.units)}.",
            )
    return TrimFindings(tuple(faults.values()), tuple(doubts.values()))
