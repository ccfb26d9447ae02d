"""A roofing system as the TOML text that `systems_toml` reads: to be changed by hand, say."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final

import msgspec

from roofmodel.systems import EdgeKind, PanelRules, RoofingSystem, TrimRule
from roofmodel_io.atomic import write_whole
from roofmodel_io.fixing_toml import fixing_text

_HEAD: Final = """\
# A roofing system. All lengths in inches, slopes as rise over run.
# Where a value comes from stands in [sources]; what the maker of a panel says in writing comes
# before any value here.
"""
_SHIFTS: Final = """
# How far the metal's edge lies from the edge of the plane, along the plane: positive past it,
# negative back from it."""
_VENTED: Final = "\n# Instead of those above where the ridge is vented."
_HEMS: Final = "\n# What the end of a panel is cut longer than the metal's edge, to be folded."
_TRIM: Final = '\n# Trim per kind of edge: each part begins with [[trim."kind"]].'
_NO_LENGTHS: Final = frozenset({"low_slope"})


def write_system(path: Path, system: RoofingSystem) -> None:
    """Write a system to a file; FileError if it cannot be. The file is whole or as it was."""
    write_whole(path, system_text(system).encode("utf-8"))


def system_text(system: RoofingSystem) -> str:
    """The whole system as TOML text that reads back to the same values."""
    lines = [_HEAD]
    lines += [f"{key} = {quoted(getattr(system, key))}" for key in ("id", "name", "source")]
    lines += ["", "[panel]"]
    lines += [f"coverage = {inches(system.coverage)}", f"lap_leg = {inches(system.lap_leg)}"]
    lines += _given(system.panel, msgspec.structs.fields(PanelRules))
    lines += _by_kind("shifts", system.shifts, _SHIFTS)
    lines += _by_kind("vented_shifts", system.vented_shifts, _VENTED)
    lines += _by_kind("hems", system.hems, _HEMS)
    if system.sources:
        lines += ["", "[sources]"]
        lines += [f"{quoted(key)} = {quoted(text)}" for key, text in system.sources.items()]
    lines.append(_TRIM)
    empty = [kind for kind, rules in system.trim.items() if not rules]
    if empty:
        # One table of those that take nothing; each other kind has lists of its own.
        lines += ["[trim]", *(f"{quoted(kind)} = []" for kind in empty), ""]
    for kind, rules in system.trim.items():
        for rule in rules:
            lines += [f"[[trim.{quoted(kind)}]]"]
            lines += [*_given(rule, msgspec.structs.fields(TrimRule)), ""]
    parts = dict.fromkeys(rule.part for rules in system.trim.values() for rule in rules)
    return "\n".join(lines) + "\n" + fixing_text(system.fixing, parts)


def quoted(text: str) -> str:
    """Text as TOML writes it: its escapes are those of JSON, but for one character."""
    return json.dumps(str(text), ensure_ascii=False).replace("\x7f", "\\u007f")


def inches(mm: float) -> str:
    """A length in inches, as short as it reads back to the same millimetres.

    >>> inches(38.1), inches(1000.0)
    ('1.5', '39.37007874015748')
    """
    exact = mm * 5 / 127
    for digits in range(1, 17):
        short = round(exact, digits)
        if short * 127 / 5 == mm:
            return repr(short)
    return repr(exact)


def _by_kind(name: str, lengths: Mapping[EdgeKind, float], comment: str) -> list[str]:
    if not lengths:
        return []
    rows = (f"{quoted(kind)} = {inches(mm)}" for kind, mm in lengths.items())
    return [comment, f"[{name}]", *rows]


def _given(values: msgspec.Struct, fields: Iterable[msgspec.structs.FieldInfo]) -> list[str]:
    """The fields that are not as they would be if left out; those without such a value always."""
    out = []
    for field in fields:
        value = getattr(values, field.name)
        if value is None or (not field.required and value == _left_out(field)):
            continue
        out.append(f"{field.name} = {_text(field.name, value)}")
    return out


def _left_out(field: msgspec.structs.FieldInfo) -> object:
    if field.default_factory is not msgspec.NODEFAULT:
        return field.default_factory()
    return field.default


def _text(name: str, value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, float | int):
        return repr(float(value)) if name in _NO_LENGTHS else inches(float(value))
    if isinstance(value, Mapping):
        rows = ", ".join(f"{quoted(key)} = {inches(mm)}" for key, mm in value.items())
        return f"{{ {rows} }}"
    assert isinstance(value, tuple)
    return f"[{', '.join(map(inches, value))}]"
