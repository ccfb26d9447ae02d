"""How a system is fastened, sealed and closed: the table `fixing` of its TOML file, read and
written. Lengths are in inches; all of it may be left out."""

from __future__ import annotations

import difflib
import json
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, Any, Final

import msgspec

from roofmodel.systems import EdgeKind
from roofmodel.systems.fixing import (
    LENGTHS,
    PACKS,
    ClipRows,
    Closures,
    EdgeZone,
    Fixing,
    Pack,
    ScrewRows,
    Sealant,
    Tape,
    TrimFixing,
)

if TYPE_CHECKING:
    from roofmodel_io.toml_reader import TableReader

_MM_PER_5_IN: Final = 127
_KINDS: Final = tuple(kind.value for kind in EdgeKind)
_SCREWS: Final = ("trim screw", "pancake screw")
_MOST: Final = 10_000_000

_Fields = Mapping[str, str]
"""What stands under each key: "inches", "count", "slope", "text", "screw", "kinds" or "rows"."""
_TABLES: Final[Mapping[str, tuple[type[msgspec.Struct], _Fields]]] = {
    "screws": (
        ScrewRows,
        {
            **dict.fromkeys(("field", "edge", "end_distance", "least_gap"), "inches"),
            **dict.fromkeys(("stitch", "low_stitch"), "inches"),
            **dict.fromkeys(("per_rib", "ends_per_rib"), "count"),
            "low_slope": "slope",
        },
    ),
    "clips": (
        ClipRows,
        {
            **dict.fromkeys(("field", "edge", "end_distance", "least_gap"), "inches"),
            "screws": "count",
        },
    ),
    "zone": (EdgeZone, {"width": "inches", "kinds": "kinds"}),
    "tape": (
        Tape,
        {"side_laps": "count", "low_slope": "slope", "end_laps": "count", "edges": "rows"},
    ),
    "sealant": (Sealant, {"boot": "inches", "edges": "rows"}),
    "closures": (Closures, {"inside": "kinds", "outside": "kinds"}),
}
_TRIM: Final[_Fields] = {
    "screw": "screw",
    **dict.fromkeys(("spacing", "lap_bead"), "inches"),
    **dict.fromkeys(("rows", "rivets", "tape"), "count"),
    "source": "text",
}
_KEYS: Final = (*_TABLES, "trim", "other_trim", "boot_screws", "packs", "sources")
_SOURCES: Final = (
    *(f"{name}.{key}" for name, (_, fields) in _TABLES.items() for key in fields),
    *(f"{name}.edges.{kind}" for name in ("tape", "sealant") for kind in _KINDS),
    *("boot_screws", "boot", "vent strip"),
)


def fixing_of(reader: TableReader, table: Mapping[str, Any], trim: Collection[str] = ()) -> Fixing:
    """What the table `fixing` says, of the parts of the `trim` that the system names (any, where
    it names none); DocumentError or FileError names the key and the remedy."""
    reader.only_keys(table, "fixing.", _KEYS)
    given: dict[str, Any] = {}
    for name, (make, fields) in _TABLES.items():
        if name in table:
            some = reader.table(table, name, f"fixing.{name}")
            given[name] = make(**_values(reader, some, f"fixing.{name}.", fields))
    if "trim" in table:
        parts = reader.table(table, "trim", "fixing.trim")
        if trim:
            reader.only_keys(parts, "fixing.trim.", trim)
        given["trim"] = {part: _trim(reader, parts, part, "fixing.trim.") for part in parts}
    if "other_trim" in table:
        given["other_trim"] = _trim(reader, table, "other_trim", "fixing.")
    if "boot_screws" in table:
        given["boot_screws"] = _value(reader, table, "boot_screws", "fixing.", "count")
    if "packs" in table:
        packs = reader.table(table, "packs", "fixing.packs")
        reader.only_keys(packs, "fixing.packs.", tuple(PACKS))
        given["packs"] = {key: _pack(reader, packs, key) for key in packs}
    if "sources" in table:
        sources = reader.table(table, "sources", "fixing.sources")
        for key in sources:
            if key not in _SOURCES:
                near = difflib.get_close_matches(key, _SOURCES, 1)
                hint = f"did you mean '{near[0]}'?" if near else "name a value, as 'screws.field'."
                raise reader.unknown(f"fixing.sources.{key}", hint)
        given["sources"] = {k: reader.text(sources, k, "fixing.sources.") for k in sources}
    return Fixing(**given)


def _trim(reader: TableReader, table: Mapping[str, Any], part: str, prefix: str) -> TrimFixing:
    some = reader.table(table, part, prefix + part)
    return TrimFixing(**_values(reader, some, f"{prefix}{part}.", _TRIM))


def _pack(reader: TableReader, packs: Mapping[str, Any], key: str) -> Pack:
    prefix = f"fixing.packs.{key}."
    some = reader.table(packs, key, prefix[:-1])
    reader.only_keys(some, prefix, ("name", "size", "spare", "source"))
    size = "inches" if key in LENGTHS else "count"
    given: dict[str, Any] = {}
    if "size" in some:
        given["size"] = float(_value(reader, some, "size", prefix, size))
    if "spare" in some:
        given["spare"] = _value(reader, some, "spare", prefix, "share")
    words = {k: reader.text(some, k, prefix) for k in ("name", "source") if k in some}
    return msgspec.structs.replace(PACKS[key], **given, **words)


def _values(
    reader: TableReader, table: Mapping[str, Any], prefix: str, fields: _Fields
) -> dict[str, Any]:
    reader.only_keys(table, prefix, tuple(fields))
    return {key: _value(reader, table, key, prefix, fields[key]) for key in table}


def _value(reader: TableReader, table: Mapping[str, Any], key: str, prefix: str, what: str) -> Any:
    if what == "inches":
        return reader.inches(table, key, prefix)
    if what == "text":
        return reader.text(table, key, prefix)
    value: Any = table.get(key)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if what == "rows":
        some = reader.table(table, key, prefix + key)
        reader.only_keys(some, f"{prefix}{key}.", _KINDS)
        return {
            EdgeKind(kind): _value(reader, some, kind, f"{prefix}{key}.", "count") for kind in some
        }
    if what == "count":
        if not is_number or not 0 <= value <= _MOST or value != round(value):
            raise reader.wrong(prefix + key, "a whole number, 0 or more")
        return int(value)
    if what in ("slope", "share"):
        if not is_number or not 0.0 <= value <= (1000.0 if what == "slope" else 1.0):
            as_share = "a share from 0 to 1, such as 0.05"
            as_slope = "a pitch as rise over run, such as 0.25"
            raise reader.wrong(prefix + key, as_share if what == "share" else as_slope)
        return float(value)
    if what == "screw":
        if value not in _SCREWS:
            raise reader.wrong(prefix + key, "'trim screw' or 'pancake screw'")
        return value
    if not isinstance(value, list) or not all(kind in _KINDS for kind in value):
        raise reader.wrong(prefix + key, 'a list of kinds of edges, such as ["eave", "rake"]')
    return tuple(EdgeKind(kind) for kind in value)


def fixing_text(fixing: Fixing, trim: Collection[str] = ()) -> str:
    """The same as TOML text that reads back to the same values, but for parts that are not in the
    `trim` of its system (where that names some), for these would be refused."""
    lines = ["[fixing]", f"boot_screws = {fixing.boot_screws}"]
    for name, (_, fields) in _TABLES.items():
        lines += ["", f"[fixing.{name}]", *_written(getattr(fixing, name), fields)]
    lines += ["", "[fixing.other_trim]", *_written(fixing.other_trim, _TRIM)]
    for part, rule in fixing.trim.items():
        if trim and part not in trim:
            continue
        lines += ["", f"[fixing.trim.{_quoted(part)}]", *_written(rule, _TRIM)]
    for key, pack in fixing.packs.items():
        fields = {
            "name": "text",
            "size": "inches" if key in LENGTHS else "count",
            "spare": "share",
            "source": "text",
        }
        lines += ["", f"[fixing.packs.{_quoted(key)}]", *_written(pack, fields)]
    if fixing.sources:
        lines += ["", "[fixing.sources]"]
        lines += [f"{_quoted(key)} = {_quoted(text)}" for key, text in fixing.sources.items()]
    return "\n".join(lines) + "\n"


def _written(values: msgspec.Struct, fields: _Fields) -> list[str]:
    out = []
    for key, what in fields.items():
        value = getattr(values, key)
        if value is None:
            continue
        if what == "inches":
            text = repr(float(value) * 5 / _MM_PER_5_IN)
        elif what == "count":
            text = str(int(value))
        elif what in ("slope", "share"):
            text = repr(float(value))
        elif what == "kinds":
            text = f"[{', '.join(_quoted(kind) for kind in value)}]"
        elif what == "rows":
            text = ", ".join(f"{_quoted(kind)} = {rows}" for kind, rows in value.items())
            text = f"{{ {text} }}"
        else:
            text = _quoted(value)
        out.append(f"{key} = {text}")
    return out


def _quoted(text: str) -> str:
    """Text as TOML writes it: its escapes are those of JSON, but for one character."""
    return json.dumps(str(text), ensure_ascii=False).replace("\x7f", "\\u007f")
