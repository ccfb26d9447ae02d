"""What lies below the metal and what comes off, from TOML: lengths in inches, slopes as the rise
in 12, weights in pounds. `data/layers.toml` holds the built-in values and says what may stand
there. What is left out of a file is as built in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, get_args

import msgspec

from roofmodel.errors import DocumentError, FileError
from roofmodel.systems import EdgeKind
from roofmodel.systems.layer_parts import (
    KG_PER_M2_PER_LB_SQUARE,
    Batten,
    Extra,
    Factor,
    Measure,
    Metal,
    OldCovering,
    PanelLimits,
    Roll,
    Sheet,
    Strip,
    Waste,
    inches,
)
from roofmodel.systems.layers import Layers
from roofmodel.units import KG_PER_LB, MM3_PER_CU_YD
from roofmodel_io.toml_reader import TableReader, parsed, toml_text

_KINDS: Final = tuple(kind.value for kind in EdgeKind)
_MEASURES: Final[tuple[str, ...]] = get_args(Measure)

_SCALES: Final[dict[str, tuple[float, str]]] = {
    "pitch": (1.0, "a pitch as the rise in 12, such as 3.0"),
    "lb per square": (KG_PER_M2_PER_LB_SQUARE, "pounds per 100 sq ft, such as 250.0"),
    "per square": (1.0 / 9.290304, "a number per 100 sq ft, such as 320.0"),
    "lb per cu yd": (
        KG_PER_LB / (MM3_PER_CU_YD / 1e9),
        "pounds per cubic yard, such as 415.0",
    ),
    "lb": (KG_PER_LB, "pounds, such as 10000.0"),
    "cu yd": (MM3_PER_CU_YD, "cubic yards, such as 12.0"),
    "number": (1.0, "a number, such as 6.7"),
}
_ROLL: Final = {
    **dict.fromkeys(("width", "length", "head_lap", "end_lap", "low_head_lap"), "inches"),
    "low_slope": "pitch",
    "source": "text",
}
_STRIP: Final = {"width": "inches", "at_ends": "inches", "source": "text"}
_OLD: Final = {
    "weight": "lb per square",
    "fasteners": "per square",
    "never_covered": "switch",
    "source": "text",
}
_WASTE: Final = {
    "felt": "lb per square",
    "density": "lb per cu yd",
    "payload": "lb",
    "box": "cu yd",
    "most_layers": "count",
    **dict.fromkeys(("felt_source", "density_source", "trailer_source", "layers_source"), "text"),
}
_LIMITS: Final = {
    **dict.fromkeys(("least_slope", "sealed_slope"), "pitch"),
    **dict.fromkeys(("fixed_length", "handling"), "inches"),
    **dict.fromkeys(("least_overhang", "most_overhang"), "inches"),
    **dict.fromkeys(("slope_source", "length_source", "overhang_source"), "text"),
}
_TOP: Final = (
    *("underlayments", "over", "membrane", "strips", "pipe_patch", "low_slope", "sheet"),
    *("batten", "old_coverings", "waste", "extras", "limits", "metals", "slope_factors"),
    *("height_factors", "over_source", "patch_source", "labour_source"),
    *("vent_opening", "vent_source"),
)


def read_layers(path: str | Path) -> Layers:
    """The layers in a TOML file; FileError names the file, the key and the remedy."""
    return parse_layers(*toml_text(path))


def parse_layers(text: str, name: str) -> Layers:
    """The layers in TOML text; `name` is what messages call the file."""
    table = parsed(text, name)
    reader = TableReader(name)
    reader.only_keys(table, "", _TOP)
    try:
        return Layers(**_fields(reader, table))
    except DocumentError as error:
        raise FileError(f"{name}: {error}") from error


def _fields(reader: TableReader, table: Mapping[str, Any]) -> dict[str, Any]:
    one: dict[str, tuple[type[msgspec.Struct], dict[str, str]]]
    one = {"membrane": (Roll, _ROLL), "sheet": (Sheet, _SHEET), "batten": (Batten, _BATTEN)}
    out: dict[str, Any] = {}
    for key in table:
        if key in one:
            kind, spec = one[key]
            some = reader.table(table, key)
            out[key] = _struct(reader, some, f"{key}.", kind, {"key": "text", **spec})
        elif key in _KEYED:
            kind, spec = _KEYED[key]
            out[key] = _keyed(reader, table, key, kind, spec)
        elif key == "waste":
            out[key] = _struct(reader, reader.table(table, key), "waste.", Waste, _WASTE)
        elif key == "over":
            some = reader.table(table, key)
            reader.only_keys(some, "over.", _KINDS)
            out[key] = {EdgeKind(k): reader.inches(some, k, "over.") for k in some}
        elif key == "strips":
            by_kind = _by_name(reader, table, key, Strip, _STRIP, _KINDS)
            out[key] = {EdgeKind(k): v for k, v in by_kind.items()}
        elif key == "limits":
            out[key] = _by_name(reader, table, key, PanelLimits, _LIMITS)
        elif key == "metals":
            out[key] = _by_name(
                reader, table, key, Metal, {"expansion": "number", "source": "text"}
            )
        elif key in ("slope_factors", "height_factors"):
            out[key] = _factors(reader, table, key)
        else:
            kinds = {"pipe_patch": "inches", "vent_opening": "inches", "low_slope": "pitch"}
            out[key] = _value(reader, table, key, "", kinds.get(key, "text"))
    return out


_SHEET: Final = {**dict.fromkeys(("width", "length", "gap"), "inches"), "source": "text"}
_BATTEN: Final = {"spacing": "inches", "length": "inches", "source": "text"}
_KEYED: Final[dict[str, tuple[type[msgspec.Struct], dict[str, str]]]] = {
    "underlayments": (Roll, _ROLL),
    "old_coverings": (OldCovering, _OLD),
    "extras": (Extra, {"measure": "measure", "stock_length": "inches", "source": "text"}),
}


def _by_name(
    reader: TableReader,
    table: Mapping[str, Any],
    name: str,
    kind: type[msgspec.Struct],
    spec: Mapping[str, str],
    allowed: tuple[str, ...] = (),
) -> dict[str, Any]:
    some = reader.table(table, name)
    if allowed:
        reader.only_keys(some, f"{name}.", allowed)
    return {
        key: _struct(
            reader, reader.table(some, key, f"{name}.{key}"), f"{name}.{key}.", kind, spec
        )
        for key in some
    }


def _keyed(
    reader: TableReader,
    table: Mapping[str, Any],
    name: str,
    kind: type[msgspec.Struct],
    spec: Mapping[str, str],
) -> tuple[Any, ...]:
    """A table of tables, each under the name that becomes its key."""
    some = reader.table(table, name)
    out = []
    for key in some:
        full = f"{name}.{key}"
        own = reader.table(some, key, full)
        out.append(_struct(reader, own, f"{full}.", kind, spec, {"key": key}))
    return tuple(out)


def _struct(
    reader: TableReader,
    table: Mapping[str, Any],
    prefix: str,
    kind: type[msgspec.Struct],
    spec: Mapping[str, str],
    given: Mapping[str, Any] | None = None,
) -> Any:
    """A struct of what stands in the table; fields without a default must stand there."""
    reader.only_keys(table, prefix, spec)
    fields = dict(given or {})
    for key, unit in spec.items():
        needed = next(f.required for f in msgspec.structs.fields(kind) if f.name == key)
        if key in table or needed:
            fields[key] = _value(reader, table, key, prefix, unit)
    return kind(**fields)


def _value(
    reader: TableReader, table: Mapping[str, Any], key: str, prefix: str, unit: str
) -> float | str | bool:
    if unit == "inches":
        return reader.inches(table, key, prefix)
    if unit == "text":
        return reader.text(table, key, prefix)
    wanted = {
        "switch": "true or false",
        "count": "a whole number, such as 2",
        "measure": f"one of {', '.join(repr(m) for m in _MEASURES)}",
    }
    value = table.get(key)
    if unit == "switch" and isinstance(value, bool):
        return value
    if unit == "measure" and isinstance(value, str) and value in _MEASURES:
        return value
    if unit == "count" and isinstance(value, int) and not isinstance(value, bool):
        return value
    if unit in wanted:
        raise reader.wrong(f"{prefix}{key}", wanted[unit])
    scale, words = _SCALES[unit]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise reader.wrong(f"{prefix}{key}", words)
    if not (math.isfinite(value) and 0.0 <= value <= 1e9):
        raise reader.wrong(f"{prefix}{key}", words)
    return value / 12.0 if unit == "pitch" else value * scale


def _factors(reader: TableReader, table: Mapping[str, Any], key: str) -> tuple[Factor, ...]:
    wanted = "pairs of where a factor begins and the factor, such as [[0.0, 1.0], [7.0, 1.15]]"
    pairs = table[key]
    if not isinstance(pairs, list) or not all(
        isinstance(p, list)
        and len(p) == 2
        and all(isinstance(v, int | float) and not isinstance(v, bool) for v in p)
        for p in pairs
    ):
        raise reader.wrong(key, wanted)
    return tuple(
        Factor(at / 12.0 if key == "slope_factors" else inches(at), float(factor))
        for at, factor in pairs
    )
