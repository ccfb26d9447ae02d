"""Roofing systems from TOML files, lengths in inches. `data/systems` holds the built-in ones."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from roofmodel.errors import DocumentError, FileError
from roofmodel.systems import EdgeKind, PanelRules, RoofingSystem, TrimRule
from roofmodel.systems.kinds import NODE_KINDS
from roofmodel_io.fixing_toml import fixing_of
from roofmodel_io.toml_reader import TableReader, parsed, toml_text

_MM_PER_5_IN: Final = 127
_ALONG: Final = ("edge", "each plane", "lower plane")
_MAY_BE_LEFT_OUT: Final = (
    *("low_lap", "low_slope", "ends", "more_stock", "kerf", "along", "bent_to_roof", "reach"),
    "hang",
)
_KINDS: Final = tuple(kind.value for kind in EdgeKind)
_TOP: Final = ("id", "name", "source", "panel", "shifts", "trim")
_MORE_TABLES: Final = ("vented_shifts", "hems", "sources", "fixing")
_PANEL_INCHES: Final = (
    *("narrowest", "widest", "longest", "end_lap", "low_end_lap", "stagger", "least_width"),
    *("rib_spacing", "rib_height", "rib_width"),
)
_PANEL_SWITCHES: Final = ("cut_offs_serve", "turns")
_PANEL_KEYS: Final = (
    *("coverage", "lap_leg", "fastening", "low_slope"),
    *_PANEL_INCHES,
    *_PANEL_SWITCHES,
)


def read_system(path: str | Path) -> RoofingSystem:
    """The roofing system in a TOML file; FileError names the file, the key and the remedy."""
    return parse_system(*toml_text(path))


def parse_system(text: str, name: str) -> RoofingSystem:
    """The roofing system in TOML text; `name` is what messages call the file."""
    table = parsed(text, name)
    reader = TableReader(name)
    reader.only_keys(table, "", (*_TOP, *_MORE_TABLES))
    panel = reader.table(table, "panel")
    reader.only_keys(panel, "panel.", _PANEL_KEYS)
    shifts = reader.table(table, "shifts")
    reader.only_keys(shifts, "shifts.", _KINDS, all_needed=True)
    trim = reader.table(table, "trim")
    reader.only_keys(trim, "trim.", _KINDS, all_needed=True)
    try:
        rules = {kind: _trim_rules(reader, trim, kind) for kind in EdgeKind}
        return RoofingSystem(
            id=reader.text(table, "id"),
            name=reader.text(table, "name"),
            coverage=reader.inches(panel, "coverage", "panel.", above=0.0),
            lap_leg=reader.inches(panel, "lap_leg", "panel."),
            shifts={
                kind: reader.inches(shifts, kind.value, "shifts.", above=-math.inf)
                for kind in EdgeKind
            },
            trim=rules,
            source=reader.text(table, "source"),
            panel=_panel_rules(reader, panel),
            vented_shifts=_by_kind(reader, table, "vented_shifts", -1000.0, 1000.0),
            hems=_by_kind(reader, table, "hems", 0.0, 300.0),
            sources=_sources(reader, table),
            fixing=fixing_of(
                reader,
                reader.table(table, "fixing") if "fixing" in table else {},
                dict.fromkeys(rule.part for some in rules.values() for rule in some),
            ),
        )
    except DocumentError as error:
        raise FileError(f"{name}: {error}") from error


def _panel_rules(reader: TableReader, panel: Mapping[str, Any]) -> PanelRules:
    """What may stand under `panel` beside coverage and lap leg; all of it may be left out."""
    coverage = reader.inches(panel, "coverage", "panel.", above=0.0)
    given: dict[str, Any] = {
        key: reader.inches(panel, key, "panel.") for key in _PANEL_INCHES if key in panel
    }
    for key in _PANEL_SWITCHES:
        if key in panel:
            if not isinstance(panel[key], bool):
                raise reader.wrong(f"panel.{key}", "true or false")
            given[key] = panel[key]
    if "low_slope" in panel:
        slope = panel["low_slope"]
        if isinstance(slope, bool) or not isinstance(slope, int | float) or not 0 <= slope <= 1000:
            raise reader.wrong("panel.low_slope", "a pitch as rise over run, such as 0.25")
        given["low_slope"] = float(slope)
    if "fastening" in panel:
        if panel["fastening"] not in ("face", "clips"):
            raise reader.wrong("panel.fastening", "'face' or 'clips'")
        given["fastening"] = panel["fastening"]
    plain = PanelRules()
    end_lap = given.get("end_lap", plain.end_lap)
    low_lap = given.setdefault("low_end_lap", max(end_lap, plain.low_end_lap))
    checks = (
        ("coverage", 25.0 <= coverage <= 10_000.0, "at least 25 mm (1 in), up to 33 ft"),
        ("narrowest", given.get("narrowest", 0.0) <= coverage, "no more than the coverage"),
        ("widest", given.get("widest", coverage) >= coverage, "no less than the coverage"),
        ("least_width", given.get("least_width", 0.0) <= coverage, "no more than the coverage"),
        ("end_lap", end_lap <= 1000.0, "no more than 39 in"),
        ("low_end_lap", end_lap <= low_lap <= 1000.0, "no less than 'end_lap', up to 39 in"),
        (
            "longest",
            2.0 * low_lap + 304.8 <= given.get("longest", 1e5) <= 1e5,
            "at least 12 in more than two end laps, up to 3937 in",
        ),
    )
    for key, is_right, wanted in checks:
        if not is_right:
            raise reader.wrong(f"panel.{key}", wanted)
    return PanelRules(**given)


def _by_kind(
    reader: TableReader, table: Mapping[str, Any], name: str, least: float, most: float
) -> dict[EdgeKind, float]:
    """A table of lengths (mm) by kind of edge that may be left out, each within bounds."""
    if name not in table:
        return {}
    some = reader.table(table, name)
    reader.only_keys(some, f"{name}.", _KINDS)
    out = {}
    for kind in EdgeKind:
        if kind.value in some:
            value = reader.inches(some, kind.value, f"{name}.", above=-math.inf)
            if not least <= value <= most:
                low, high = round(least * 5 / _MM_PER_5_IN), round(most * 5 / _MM_PER_5_IN)
                raise reader.wrong(f"{name}.{kind}", f"a number of inches from {low} to {high}")
            out[kind] = value
    return out


def _sources(reader: TableReader, table: Mapping[str, Any]) -> dict[str, str]:
    """Where values come from, by their keys with the table in front: "panel.longest"."""
    if "sources" not in table:
        return {}
    some = reader.table(table, "sources")
    known = [f"panel.{key}" for key in _PANEL_KEYS]
    known += [f"{name}.{kind}" for name in ("shifts", "vented_shifts", "hems") for kind in _KINDS]
    for key in some:
        if key not in known:
            near = difflib.get_close_matches(key, known, 1)
            hint = f"did you mean '{near[0]}'?" if near else "name a value, as 'panel.coverage'."
            raise reader.unknown(f"sources.{key}", hint)
    return {key: reader.text(some, key, "sources.") for key in some}


def _trim_rules(
    reader: TableReader, trim: Mapping[str, Any], kind: EdgeKind
) -> tuple[TrimRule, ...]:
    """The parts that one kind of edge takes; an empty list is none."""
    full = f"trim.{kind}"
    some = trim[kind.value]
    if not isinstance(some, list) or not all(isinstance(rule, dict) for rule in some):
        raise reader.wrong(full, f'a list of parts, each begun with [[trim."{kind}"]]')
    several = len(some) > 1
    return tuple(
        _trim_rule(reader, rule, f"{full} (part {k})." if several else f"{full}.")
        for k, rule in enumerate(some, 1)
    )


def _trim_rule(reader: TableReader, rule: Mapping[str, Any], prefix: str) -> TrimRule:
    """One part of the trim; the keys after `source` may be left out."""
    keys = ("part", "stock_length", "lap", "source", *_MAY_BE_LEFT_OUT)
    reader.only_keys(rule, prefix, keys)
    lengths = rule.get("more_stock", [])
    if not isinstance(lengths, list):
        raise reader.wrong(f"{prefix}more_stock", "a list of inches, such as [120.0, 144.0]")
    ends = reader.table(rule, "ends", f"{prefix}ends") if "ends" in rule else {}
    reader.only_keys(ends, f"{prefix}ends.", NODE_KINDS)
    slope = rule.get("low_slope", 0.0)
    if isinstance(slope, bool) or not isinstance(slope, int | float) or not 0 <= slope <= 1000:
        raise reader.wrong(f"{prefix}low_slope", "a pitch as rise over run, such as 0.25")
    along, bent = rule.get("along", "edge"), rule.get("bent_to_roof", True)
    if along not in _ALONG:
        raise reader.wrong(f"{prefix}along", "'edge', 'each plane' or 'lower plane'")
    if not isinstance(bent, bool):
        raise reader.wrong(f"{prefix}bent_to_roof", "true or false")
    return TrimRule(
        part=reader.text(rule, "part", prefix),
        stock_length=reader.inches(rule, "stock_length", prefix, above=0.0),
        lap=reader.inches(rule, "lap", prefix, above=-math.inf),
        source=reader.text(rule, "source", prefix),
        low_lap=reader.inches(rule, "low_lap", prefix) if "low_lap" in rule else None,
        low_slope=float(slope),
        ends={kind: reader.inches(ends, kind, f"{prefix}ends.") for kind in ends},
        more_stock=tuple(
            reader.inches({"more_stock": length}, "more_stock", prefix, above=0.0)
            for length in lengths
        ),
        kerf=reader.inches(rule, "kerf", prefix) if "kerf" in rule else 0.0,
        reach=reader.inches(rule, "reach", prefix) if "reach" in rule else 0.0,
        hang=reader.inches(rule, "hang", prefix) if "hang" in rule else 0.0,
        along=along,
        bent_to_roof=bent,
    )
