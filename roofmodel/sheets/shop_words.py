"""Scales, title blocks and words that all sheets for shop and crew share."""

from __future__ import annotations

from typing import Final

from roofmodel.document import Project
from roofmodel.sheets.shop_types import XY, SheetPlan
from roofmodel.shop.job import ShopJob
from roofmodel.systems import SheetMetal
from roofmodel.units import KG_PER_LB, MM_PER_IN, LengthUnits, round_half_up

NOT_RELEASED: Final = "not released"
NOT_CHOSEN: Final = "not chosen"
FIELD_MEASURE: Final = "Field-measure before cutting."
PANEL_TOLERANCE_IN: Final = "1/8"
TRIM_TOLERANCE_IN: Final = "1/16"

_FEET_SCALES: Final = (
    (1.0, "full size"),
    (2.0, "half size"),
    (4.0, '3" = 1\'-0"'),
    (8.0, '1 1/2" = 1\'-0"'),
    (12.0, '1" = 1\'-0"'),
    (16.0, '3/4" = 1\'-0"'),
    (24.0, '1/2" = 1\'-0"'),
    (32.0, '3/8" = 1\'-0"'),
    (48.0, '1/4" = 1\'-0"'),
    (64.0, '3/16" = 1\'-0"'),
    (96.0, '1/8" = 1\'-0"'),
    (128.0, '3/32" = 1\'-0"'),
    (192.0, '1/16" = 1\'-0"'),
    (384.0, '1/32" = 1\'-0"'),
    (768.0, '1/64" = 1\'-0"'),
)
_METRIC_SCALES: Final = tuple(
    (float(n), f"1:{n}") for n in (1, 2, 5, 10, 20, 25, 50, 75, 100, 200, 500, 1000)
)


def scales(units: LengthUnits) -> tuple[tuple[float, str], ...]:
    """The usual scales, the largest drawing first, each with what is said of it."""
    return _FEET_SCALES if units.system == "feet" else _METRIC_SCALES


def scale_for(plan: SheetPlan, room: XY, units: LengthUnits) -> float:
    """The first usual scale at which a sheet fits into a room on paper (mm, either way round);
    the last one where none does."""
    wide, high = max(room), min(room)
    known = scales(units)
    for scale, _ in known:
        size = plan.room(scale)
        if max(size) <= wide and min(size) <= high:
            return scale
    return known[-1][0]


def scale_words(scale: float, units: LengthUnits) -> str:
    """What is said of a scale.

    >>> from roofmodel.document import Units
    >>> scale_words(48.0, Units())
    '1/4" = 1\\'-0"'
    """
    return dict(scales(units)).get(scale, f"1:{scale:g}")


def metal_words(metal: SheetMetal, units: LengthUnits) -> str:
    """The sheet by its gauge, which is a label, and its thickness, which is not."""
    return f"{metal.gauge}, {thickness_words(metal.thickness, units)} thick"


def thickness_words(mm: float, units: LengthUnits) -> str:
    """How thick a sheet is."""
    return f"{_decimal_inches(mm, 4)} in" if units.system == "feet" else f"{mm:.2f} mm"


def radius_words(radius: float, units: LengthUnits) -> str:
    """An inside radius: to 1/32 in where it is that, else in decimals."""
    if units.system != "feet":
        return f"{radius:.1f} mm"
    parts = radius / MM_PER_IN * 32.0
    if abs(parts - round(parts)) < 1e-6 and 0 < parts < 32:
        top, bottom = round(parts), 32
        while top % 2 == 0:
            top, bottom = top // 2, bottom // 2
        return f'{top}/{bottom}"'
    return f"{_decimal_inches(radius, 3)} in"


def exact_words(mm: float, units: LengthUnits) -> str:
    """A length for a brake or a shear as a decimal: trim is set by numbers, not by fractions."""
    if units.system == "feet":
        return f"{_decimal_inches(mm, 3)} in"
    return f"{round_half_up(mm * 10.0) / 10.0:.1f} mm"


def tolerance_words(of: str, units: LengthUnits) -> str:
    """What may be off in "panels" or in "trim": common practice, no source."""
    if units.system == "feet":
        part = PANEL_TOLERANCE_IN if of == "panels" else TRIM_TOLERANCE_IN
        return f'± {part}", common practice'
    return f"± {3 if of == 'panels' else 1.5:g} mm, common practice"


def weight_words(kg: float, units: LengthUnits) -> str:
    """A weight in whole pounds, or kilograms."""
    per, word = (KG_PER_LB, "lb") if units.system == "feet" else (1.0, "kg")
    return f"{round_half_up(kg / per):.0f} {word}"


def job_fields(job: ShopJob) -> tuple[tuple[str, str], ...]:
    """What every title block says of the job."""
    who = job.project.job
    rows = (("Job", who.name or "Job without a name"), ("Place", who.place))
    return tuple((word, text) for word, text in rows if text.strip())


def end_fields(job: ShopJob, of: str) -> tuple[tuple[str, str], ...]:
    """What every title block ends with: revision, date, tolerance."""
    colour = job.project.colour.strip() or NOT_CHOSEN
    rows = [("Colour", colour), ("Revision", revision_of(job)), ("Date", job.date)]
    rows = [(word, text) for word, text in rows if text.strip()]
    return (*rows, ("Tolerance", tolerance_words(of, job.project.units)))


def revision_of(job: ShopJob) -> str:
    """The revision in words."""
    if job.revision:
        return str(job.revision)
    if job.changed_since:
        return f"{NOT_RELEASED}, changed since revision {job.changed_since}"
    return NOT_RELEASED


def system_name(project: Project, system: str) -> str:
    """The name of one of the job's systems."""
    return next((s.name for s in project.systems() if s.id == system), system)


def short_name(project: Project, system: str) -> str:
    """The name of one of the job's systems up to its first comma, if no other begins so."""
    whole = system_name(project, system)
    short = whole.partition(",")[0].strip()
    others = (s.name for s in project.systems() if s.id != system)
    return whole if any(o.partition(",")[0].strip() == short for o in others) else short


def _decimal_inches(mm: float, places: int) -> str:
    """Decimal inches without a zero before the point, as drawings have them."""
    value = round_half_up(mm / MM_PER_IN * 10**places) / 10**places
    text = f"{value:.{places}f}"
    return text[1:] if text.startswith("0.") else text
