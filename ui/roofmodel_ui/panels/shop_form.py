"""The rules of the shop: bundles, weight and width of the sheet, coils that trim is slit from."""

from __future__ import annotations

import re
from typing import Final, TypeAlias

from roofmodel.document import Project, Units
from roofmodel.document.releases import set_shop_rules
from roofmodel.errors import TextError
from roofmodel.takeoff.formula import size
from roofmodel.units import KG_PER_LB, MM2_PER_SQ_FT, format_weight, parse_number
from roofmodel_ui.panels.bound import BoundForm, Words
from roofmodel_ui.panels.fields import parse_small_length
from roofmodel_ui.session import Session

BUNDLE, SHEET, COIL, TRIM = "Bundle up to", "Sheet weighs", "Coil to coverage", "Trim coils"
_Rule: TypeAlias = tuple[Units, str]
"""The job's units, and what could be written."""
_LB_PER_SQ_FT: Final = KG_PER_LB / (MM2_PER_SQ_FT / 1e6)
_WEIGHTS: Final = {"lb": KG_PER_LB, "kg": 1.0}
_SHEETS: Final = {
    "lb per sq ft": _LB_PER_SQ_FT,
    "psf": _LB_PER_SQ_FT,
    "lb": _LB_PER_SQ_FT,
    "kg per m²": 1.0,
    "kg": 1.0,
}
_SAME_UNIT: Final = (
    (re.compile(r"\s*(?:/|\bper\b)\s*"), " per "),
    (re.compile(r"\b(?:lbs|pounds?)\b\.?"), "lb"),
    (re.compile(r"lbs\b\.?"), "lb"),
    (re.compile(r"\b(?:ft|foot|feet)\s*(?:²|\^?2\b)"), "sq ft"),
    (re.compile(r"\b(?:sq|square)\b\.?\s*(?:ft|foot|feet)\b\.?"), "sq ft"),
    (re.compile(r"\bm\s*(?:²|\^?2\b)|\b(?:sq|square)\b\.?\s*m(?:et(?:re|er)s?)?\b"), "m²"),
)
"""Ways of writing a unit, and the one that the lists above have."""


def shop_form(session: Session) -> BoundForm:
    """What the shop says of its lifts, sheet and coils, each in a field."""
    form = BoundForm(session, "Rules of the shop")
    form.text(
        Words(
            BUNDLE,
            "Panels of a plane are bundled up to this weight, in lb or kg.",
            "Set weight of a bundle",
        ),
        lambda p: format_weight(p.shop.lift_weight, p.units),
        lambda p, typed: set_shop_rules(p, lift_weight=weight(typed, p.units)),
    )
    form.text(
        Words(
            SHEET,
            "What the sheet of the panels weighs, in lb per sq ft or kg per m²: bundles are"
            " weighed by it.",
            "Set weight of the sheet",
        ),
        sheet_words,
        lambda p, typed: set_shop_rules(p, sheet_weight=sheet_weight(typed, p.units)),
    )
    form.text(
        Words(
            COIL,
            "How many times as wide as a panel covers the flat coil is that it is formed from.",
            "Set coil to coverage",
        ),
        lambda p: f"{p.shop.formed:g}",
        lambda p, typed: set_shop_rules(
            p, formed=_number(typed, {}, 1.0, "share of coil to coverage", (p.units, "1.2"))
        ),
    )
    form.text(
        Words(
            TRIM,
            "How wide the coils or flat sheets are that trim is slit from; several widths with"
            " commas between them. Bare numbers are inches, in metric jobs millimetres.",
            "Set coils for trim",
        ),
        lambda p: ", ".join(size(width, p.units) for width in p.shop.trim_coils),
        lambda p, typed: set_shop_rules(p, trim_coils=widths(typed, p.units)),
    )
    return form


def weight(typed: str, units: Units) -> float:
    """A weight, kg; a bare number is lb, in metric jobs kg."""
    bare = KG_PER_LB if units.system == "feet" else 1.0
    return _number(typed, _WEIGHTS, bare, "weight", (units, "2000 lb or 900 kg"))


def sheet_weight(typed: str, units: Units) -> float:
    """What a sheet weighs, kg per m²; a bare number is lb per sq ft, in metric jobs kg per m²."""
    bare = _LB_PER_SQ_FT if units.system == "feet" else 1.0
    example = "1.156 lb per sq ft or 5.6 kg per m²"
    return _number(typed, _SHEETS, bare, "weight of a sheet", (units, example))


def sheet_words(project: Project) -> str:
    """What the sheet weighs in the project's units."""
    kg = project.shop.sheet_weight
    if project.units.system == "feet":
        return f"{kg / _LB_PER_SQ_FT:.4g} lb per sq ft"
    return f"{kg:.4g} kg per m²"


def widths(typed: str, units: Units) -> tuple[float, ...]:
    """Widths, mm, typed with commas or semicolons between them; the widest first."""
    parts = [part for part in re.split(r"[,;]", typed) if part.strip()]
    return tuple(sorted((parse_small_length(part, units) for part in parts), reverse=True))


def _number(typed: str, known: dict[str, float], bare: float, what: str, rule: _Rule) -> float:
    """A number times its unit, or times `bare` without one."""
    words, per = typed.lower(), bare
    for pattern, unit in _SAME_UNIT:
        words = pattern.sub(unit, words)
    words = " ".join(words.split())
    for unit, value in known.items():
        if words.endswith(unit):
            words, per = words.removesuffix(unit).strip(), value
            break
    units, example = rule
    try:
        return parse_number(words, thousands=units.system == "feet") * per
    except TextError as error:
        why = f" {error}" if "could be" in str(error) else ""
        raise TextError(f"'{typed.strip()[:40]}' is no {what}.{why} Write {example}.") from error
