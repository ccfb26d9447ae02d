"""The flat metal that trim is bent from: the girth of each part's cross-section by the lengths
that are ordered."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import Final

from roofmodel.errors import DocumentError
from roofmodel.parts import folded
from roofmodel.systems import TrimProfile
from roofmodel.takeoff.formula import labelled, sum_of
from roofmodel.takeoff.trim_sides import section_of
from roofmodel.takeoff.trim_types import TrimPlan
from roofmodel.takeoff.types import Quantity
from roofmodel.units import MM_PER_IN, LengthUnits, format_length

TRIM_METAL: Final = "Trim metal"


def girth_of(plan: TrimPlan, parts: Mapping[str, TrimProfile]) -> float | None:
    """The girth (mm) of what a plan cuts, bent as its first run is; None where the job has no
    cross-section for the part, or one that cannot be bent so."""
    run = plan.runs[0]
    profile = section_of(run, parts)
    if profile is None:
        return None
    try:
        return folded(profile, -run.fold if run.hollow else run.fold).girth
    except DocumentError:
        return None


def trim_metal_lines(
    plans: Sequence[TrimPlan], parts: Sequence[TrimProfile], units: LengthUnits
) -> list[Quantity]:
    """One line per part and bend: girth × the lengths ordered, over all buildings."""
    by_name: dict[tuple[str, str], list[TrimPlan]] = defaultdict(list)
    for plan in plans:
        by_name[plan.system, plan.name].append(plan)
    known = {p.name: p for p in parts}
    out = []
    for some in by_name.values():
        girth, profile = girth_of(some[0], known), section_of(some[0].runs[0], known)
        if girth is None or profile is None:
            continue
        bars = Counter(b.stock_length for plan in some for b in plan.bars)
        wide = labelled(_girth(girth, units), "girth")
        terms = [
            f"{count} × {format_length(stock, units)} × {wide}"
            for stock, count in sorted(bars.items())
        ]
        edges = dict.fromkeys(e for plan in some for r in plan.runs for e in r.edges)
        name = some[0].name
        out.append(
            Quantity(
                TRIM_METAL,
                f"{name[:1].upper()}{name[1:]}, flat",
                "mm²",
                girth * sum(stock * count for stock, count in bars.items()),
                sum_of(terms),
                profile.source,
                edges=tuple(edges),
            )
        )
    return out


def _girth(mm: float, units: LengthUnits) -> str:
    """With more digits than anybody cuts by, as the area of many lengths hangs on it."""
    return f"{mm:.2f} mm" if units.system == "metric" else f"{mm / MM_PER_IN:.4f} in"
