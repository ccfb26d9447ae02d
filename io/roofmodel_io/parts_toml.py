"""Cross-sections of trim from TOML files, lengths in inches. `data/parts.toml` holds the built-in
ones and says what may stand in such a file."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final, get_args

import msgspec

from roofmodel.errors import DocumentError, FileError
from roofmodel.systems import Bend, Hem, Leg, SheetMetal, TrimProfile
from roofmodel.systems.profiles import LEAST_LEG, Planes
from roofmodel_io.toml_reader import TableReader, parsed, toml_text

_TOP: Final = ("metal", "parts")
_METAL: Final = ("gauge", "thickness", "inside_radius", "k_factor", "deducts")
_PART: Final = (
    *("legs", "bends", "start_hem", "end_hem", "folds", "painted", "least_leg", "metal"),
    *("raised", "least_fold", "source"),
)
_LEG: Final = ("name", "length", "on")
_BEND: Final = ("fixed", "follows")
_HEM: Final = ("kind", "width", "gap", "to")
_PLANES: Final[tuple[str, ...]] = get_args(Planes)
_PAINTED: Final = ("upper side", "both sides", "not painted")
_HEM_KINDS: Final = ("closed", "double", "open")
_WAYS: Final = ("up", "down")


@lru_cache(maxsize=1)
def built_in_parts() -> tuple[TrimProfile, ...]:
    """The cross-sections that come with the program."""
    place = files("roofmodel_io") / "data" / "parts.toml"
    return parse_parts(place.read_text(encoding="utf-8"), "parts.toml")


def read_parts(path: str | Path) -> tuple[TrimProfile, ...]:
    """The cross-sections in a TOML file; FileError names the file, the key and the remedy."""
    return parse_parts(*toml_text(path))


def parse_parts(text: str, name: str) -> tuple[TrimProfile, ...]:
    """The cross-sections in TOML text; `name` is what messages call the file."""
    table = parsed(text, name)
    reader = _Parts(name)
    reader.only_keys(table, "", _TOP)
    try:
        metal = reader.metal(table, "metal", SheetMetal())
        parts = reader.table(table, "parts")
        if not parts:
            raise reader.wrong("parts", 'a table of parts, each begun with [parts."its name"]')
        return tuple(reader.part(parts, part, metal) for part in parts)
    except DocumentError as error:
        raise FileError(f"{name}: {error}") from error


class _Parts(TableReader):
    """Takes cross-sections out of TOML tables."""

    def part(self, parts: Mapping[str, Any], name: str, metal: SheetMetal) -> TrimProfile:
        key = f"parts.{name}"
        some = self.table(parts, name, key)
        prefix = f"{key}."
        self.only_keys(some, prefix, _PART)
        hems = {
            end: self._hem(self.table(some, end, prefix + end), f"{prefix}{end}.")
            for end in ("start_hem", "end_hem")
            if end in some
        }
        return TrimProfile(
            name=name,
            legs=tuple(self._leg(t, k) for t, k in self._list(some, "legs", prefix)),
            bends=tuple(
                Bend(self._degrees(t, "fixed", k), self._number(t, "follows", k))
                for t, k in self._list(some, "bends", prefix, _BEND)
            ),
            folds=self._folds(some, prefix),
            painted=self._one_of(some, "painted", prefix, _PAINTED, "upper side"),
            metal=self.metal(some, "metal", metal, prefix),
            least_leg=(
                self.inches(some, "least_leg", prefix, above=0.0)
                if "least_leg" in some
                else LEAST_LEG
            ),
            source=self.text(some, "source", prefix),
            raised=self.inches(some, "raised", prefix) if "raised" in some else 0.0,
            least_fold=self._degrees(some, "least_fold", prefix),
            **hems,
        )

    def metal(
        self, table: Mapping[str, Any], key: str, plain: SheetMetal, before: str = ""
    ) -> SheetMetal:
        """The sheet named there; what is left out is as in `plain`."""
        if key not in table:
            return plain
        some, prefix = self.table(table, key, before + key), f"{before}{key}."
        self.only_keys(some, prefix, _METAL)
        given: dict[str, Any] = {}
        if "gauge" in some:
            given["gauge"] = self.text(some, "gauge", prefix)
        for name, above in (("thickness", 0.0), ("inside_radius", -1e-9)):
            if name in some:
                given[name] = self.inches(some, name, prefix, above=above)
        if "k_factor" in some:
            given["k_factor"] = self._number(some, "k_factor", prefix)
        if "deducts" in some:
            if not isinstance(some["deducts"], bool):
                raise self.wrong(f"{prefix}deducts", "true or false")
            given["deducts"] = some["deducts"]
        return msgspec.structs.replace(plain, **given)

    def _list(
        self, table: Mapping[str, Any], key: str, prefix: str, keys: tuple[str, ...] = _LEG
    ) -> list[tuple[Mapping[str, Any], str]]:
        """The tables in a list, each with what its keys begin with in messages."""
        full = f"{prefix}{key}"
        if key not in table and key == "bends":
            return []
        some = self._value(table, key, full, "a list of tables in curly brackets")
        if not isinstance(some, list) or not all(isinstance(t, dict) for t in some):
            raise self.wrong(full, "a list of tables in curly brackets")
        out = [(t, f"{full}.{k}.") for k, t in enumerate(some, 1)]
        for one, start in out:
            self.only_keys(one, start, keys)
        return out

    def _leg(self, table: Mapping[str, Any], prefix: str) -> Leg:
        on = table.get("on", "")
        if on not in _PLANES:
            raise self.wrong(f"{prefix}on", '"first plane" or "second plane", or left out')
        return Leg(
            self.text(table, "name", prefix),
            self.inches(table, "length", prefix, above=0.0),
            on,
        )

    def _hem(self, table: Mapping[str, Any], prefix: str) -> Hem:
        self.only_keys(table, prefix, _HEM)
        return Hem(
            self._one_of(table, "kind", prefix, _HEM_KINDS, "closed"),
            self.inches(table, "width", prefix, above=0.0),
            self.inches(table, "gap", prefix) if "gap" in table else 0.0,
            self._one_of(table, "to", prefix, _WAYS, "down"),
        )

    def _one_of(
        self, table: Mapping[str, Any], key: str, prefix: str, words: tuple[str, ...], plain: str
    ) -> Any:
        value = table.get(key, plain)
        if value not in words:
            listed = ", ".join(f'"{w}"' for w in words[:-1])
            raise self.wrong(prefix + key, f'{listed} or "{words[-1]}"')
        return value

    def _folds(self, table: Mapping[str, Any], prefix: str) -> tuple[float, float]:
        if "folds" not in table:
            return 0.0, 0.0
        some, full = table["folds"], f"{prefix}folds"
        if not isinstance(some, list) or len(some) != 2:
            raise self.wrong(full, "the least and the greatest fold, such as [0.0, 120.0]")
        low, high = (self._degrees({"folds": v}, "folds", prefix) for v in some)
        if low > high:
            raise self.wrong(full, "the least fold first, such as [0.0, 120.0]")
        return low, high

    def _degrees(self, table: Mapping[str, Any], key: str, prefix: str) -> float:
        value = self._number(table, key, prefix)
        if not abs(value) < 180.0:
            raise self.wrong(prefix + key, "an angle in degrees between -180 and 180")
        return value

    def _number(self, table: Mapping[str, Any], key: str, prefix: str) -> float:
        value = table.get(key, 0.0)
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e6:
            raise self.wrong(prefix + key, "a number, such as 0.5")
        return float(value)
