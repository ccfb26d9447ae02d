"""TOML files read with messages: every wrong value gets one sentence that names the file, the key
and what would be right."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Any, Final

from roofmodel.errors import FileError
from roofmodel_io.atomic import read_whole

_MM_PER_5_IN: Final = 127
_BYTE_LIMIT: Final = 2**20


def toml_text(path: str | Path) -> tuple[str, str]:
    """The text of a TOML file, and the name that messages call it."""
    place = Path(path)
    data = read_whole(place, _BYTE_LIMIT)
    try:
        return data.decode("utf-8"), place.name
    except UnicodeDecodeError as error:
        raise FileError(f"{place.name}: the file is not UTF-8 text; save it as UTF-8.") from error


def parsed(text: str, name: str, number: Callable[[str], Any] = float) -> dict[str, Any]:
    """The tables in TOML text; `number` makes numbers with a point of what is written."""
    try:
        return tomllib.loads(text, parse_float=number)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FileError(f"{name}: this is not valid TOML ({_first_line(error)}).") from error


class TableReader:
    """Takes values out of TOML tables and says in one sentence what should stand there."""

    def __init__(self, name: str) -> None:
        self._name = name

    def only_keys(
        self,
        table: Mapping[str, Any],
        prefix: str,
        allowed: Collection[str],
        *,
        all_needed: bool = False,
    ) -> None:
        """Refuse keys that are not allowed, with the nearest that is; and missing ones, if all are
        needed.
        """
        for key in table:
            if key not in allowed:
                near = difflib.get_close_matches(key, allowed, 1)
                hint = f"did you mean '{near[0]}'?" if near else f"known are {listed(allowed)}."
                raise FileError(f"{self._name}: the key '{prefix}{key}' is unknown; {hint}")
        if all_needed:
            for key in allowed:
                if key not in table:
                    raise FileError(f"{self._name}: the key '{prefix}{key}' is missing; add it.")

    def table(self, table: Mapping[str, Any], key: str, full: str = "") -> Mapping[str, Any]:
        """A table in the table; messages call it `full`."""
        value = self._value(table, key, full or key, "a table of keys and values")
        if not isinstance(value, dict):
            raise self.wrong(full or key, "a table of keys and values")
        return value

    def text(self, table: Mapping[str, Any], key: str, prefix: str = "") -> str:
        """Text in the table, not empty; messages put `prefix` before the key."""
        value = self._value(table, key, prefix + key, "text in quotes")
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(prefix + key, "text in quotes")
        return value

    def inches(
        self, table: Mapping[str, Any], key: str, prefix: str, *, above: float = -1e-9
    ) -> float:
        """A number of inches in the table, as mm."""
        bound = "" if above == -math.inf else ", 0 or more" if above < 0 else ", more than 0"
        wanted = f"a number of inches{bound}, such as 1.5"
        value = self._value(table, key, prefix + key, wanted)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(prefix + key, wanted)
        if not math.isfinite(value) or abs(value) > 1e6 or value <= above:
            raise self.wrong(prefix + key, wanted)
        return float(value) * _MM_PER_5_IN / 5  # rounded once, so that 1.5 in is 38.1 mm

    def _value(self, table: Mapping[str, Any], key: str, full: str, wanted: str) -> Any:
        if key not in table:
            raise self.missing(full, wanted)
        return table[key]

    def missing(self, full: str, wanted: str) -> FileError:
        """What to say of a key that is not there."""
        return FileError(f"{self._name}: the key '{full}' is missing; it must be {wanted}.")

    def unknown(self, full: str, hint: str) -> FileError:
        """What to say of a key that nobody knows."""
        return FileError(f"{self._name}: the key '{full}' is unknown; {hint}")

    def wrong(self, full: str, wanted: str) -> FileError:
        """What to say of a value that cannot be."""
        return FileError(f"{self._name}: the key '{full}' is wrong; it must be {wanted}.")


def listed(words: Collection[str]) -> str:
    """Words as a list in a sentence."""
    return ", ".join(f"'{word}'" for word in words)


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or ["it cannot be read"])[0].rstrip(".")
