"""Price books from TOML files and to them. `data/prices.toml` is the sample, with invented prices;
its comments say what may stand in such a file."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from roofmodel.errors import DocumentError, FileError
from roofmodel.systems.prices import (
    MEASURES,
    MOST_MARGIN,
    PRICE_UNITS,
    Colour,
    Price,
    PriceBook,
    Task,
)
from roofmodel_io.atomic import write_whole
from roofmodel_io.toml_reader import TableReader, listed, parsed, toml_text

_TOP: Final = (
    *("name", "sample", "date", "currency", "hourly", "overhead", "margin", "tax", "tax_on"),
    *("round_to", "prices", "tasks", "colours"),
)
_MONEY: Final = "an amount of money, 0 or more, such as 12.50"
_SHARE: Final = "a share, such as 0.15 for 15 %"
_HOURS: Final = "a number of hours, 0 or more, such as 1.5"


@lru_cache(maxsize=1)
def sample_prices() -> PriceBook:
    """The book of invented prices that comes with the program."""
    place = files("roofmodel_io") / "data" / "prices.toml"
    return parse_prices(place.read_text(encoding="utf-8"), "prices.toml")


def read_prices(path: str | Path) -> PriceBook:
    """The price book in a TOML file; FileError names the file, the key and the remedy."""
    return parse_prices(*toml_text(path))


def parse_prices(text: str, name: str) -> PriceBook:
    """The price book in TOML text; `name` is what messages call the file."""
    table = parsed(text, name, Decimal)
    reader = TableReader(name)
    reader.only_keys(table, "", _TOP)
    more = {}
    for key in ("date", "currency"):
        if key in table:
            more[key] = reader.text(table, key)
    if "tax_on" in table and table["tax_on"] not in ("materials", "price"):
        raise reader.wrong("tax_on", "'materials' or 'price'")
    if not isinstance(table.get("sample", False), bool):
        raise reader.wrong("sample", "true or false")
    round_to = table.get("round_to", Decimal(1))
    try:
        return PriceBook(
            name=reader.text(table, "name"),
            prices=tuple(_prices(reader, reader.table(table, "prices"))),
            tasks=tuple(_tasks(reader, _maybe(reader, table, "tasks"))),
            hourly=_number(reader, table, "hourly", "", _MONEY),
            overhead=_number(reader, table, "overhead", "", _SHARE, most=5),
            margin=_number(reader, table, "margin", "", _SHARE, most=MOST_MARGIN),
            tax=_number(reader, table, "tax", "", _SHARE, most=5),
            tax_on=table.get("tax_on", "materials"),
            round_to=_decimal(
                reader, round_to, "round_to", "an amount of money such as 1 or 0.01"
            ),
            sample=table.get("sample", False),
            colours=tuple(_colours(reader, _maybe(reader, table, "colours"))),
            **more,
        )
    except DocumentError as error:
        raise FileError(f"{name}: {error}") from error


def _prices(reader: TableReader, table: Mapping[str, Any]) -> list[Price]:
    out = []
    for key in table:
        prefix = f"prices.{key}."
        row = reader.table(table, key, f"prices.{key}")
        reader.only_keys(row, prefix, ("unit", "price", "source"))
        unit = reader.text(row, "unit", prefix)
        if unit not in PRICE_UNITS:
            raise reader.wrong(f"{prefix}unit", f"one of {listed(PRICE_UNITS)}")
        price = _number(reader, row, "price", prefix, _MONEY)
        source = reader.text(row, "source", prefix) if "source" in row else ""
        out.append(Price(key, unit, price, source))  # type: ignore[arg-type]
    return out


def _tasks(reader: TableReader, table: Mapping[str, Any]) -> list[Task]:
    out = []
    for name in table:
        prefix = f"tasks.{name}."
        row = reader.table(table, name, f"tasks.{name}")
        reader.only_keys(row, prefix, ("per", "hours", "on_slopes", "systems", "source"))
        per = reader.text(row, "per", prefix)
        if per not in MEASURES:
            raise reader.wrong(f"{prefix}per", f"one of {listed(MEASURES)}")
        on_slopes, systems = row.get("on_slopes", True), row.get("systems", [])
        if not isinstance(on_slopes, bool):
            raise reader.wrong(f"{prefix}on_slopes", "true or false")
        if not isinstance(systems, list) or not all(isinstance(s, str) for s in systems):
            raise reader.wrong(f"{prefix}systems", 'a list of systems, such as ["ribbed_panel"]')
        hours = _number(reader, row, "hours", prefix, _HOURS)
        source = reader.text(row, "source", prefix) if "source" in row else ""
        out.append(Task(name, per, hours, on_slopes, tuple(systems), source))  # type: ignore[arg-type]
    return out


def _colours(reader: TableReader, table: Mapping[str, Any]) -> list[Colour]:
    out = []
    for name in table:
        prefix = f"colours.{name}."
        row = reader.table(table, name, f"colours.{name}")
        reader.only_keys(row, prefix, ("shade", "factor"))
        factor = row.get("factor", Decimal(1))
        wanted = "a factor such as 1.05, up to 10"
        factor = _decimal(reader, factor, f"{prefix}factor", wanted, most=10)
        out.append(Colour(name, reader.text(row, "shade", prefix), factor))
    return out


def _maybe(reader: TableReader, table: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    return reader.table(table, key) if key in table else {}


def _number(
    reader: TableReader,
    table: Mapping[str, Any],
    key: str,
    prefix: str,
    wanted: str,
    *,
    most: Decimal | int = 10**6,
) -> Decimal:
    if key not in table:
        raise reader.missing(f"{prefix}{key}", wanted)
    return _decimal(reader, table[key], f"{prefix}{key}", wanted, most=most)


def _decimal(
    reader: TableReader,
    value: object,
    full: str,
    wanted: str,
    *,
    most: Decimal | int = 10**6,
) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise reader.wrong(full, wanted)
    out = Decimal(value)
    if not out.is_finite() or not 0 <= out <= most:
        raise reader.wrong(full, f"{wanted}, up to {most:,}")
    return out


def prices_text(book: PriceBook) -> str:
    """The book as TOML text that `parse_prices` reads back equal."""
    rows = [
        f"name = {_quoted(book.name)}",
        f"sample = {str(book.sample).lower()}",
        *([f"date = {_quoted(book.date)}"] if book.date else []),
        f"currency = {_quoted(book.currency)}",
        *(f"{key} = {_plain(getattr(book, key))}" for key in ("hourly", "overhead", "margin")),
        f"tax = {_plain(book.tax)}",
        f"tax_on = {_quoted(book.tax_on)}",
        f"round_to = {_plain(book.round_to)}",
        "",
        "[prices]",
    ]
    for p in book.prices:
        source = f", source = {_quoted(p.source)}" if p.source else ""
        rows.append(
            f'{_quoted(p.key)} = {{ unit = "{p.unit}", price = {_plain(p.price)}{source} }}'
        )
    rows += ["", "[tasks]"]
    for t in book.tasks:
        more = "" if t.on_slopes else ", on_slopes = false"
        if t.systems:
            more += f", systems = [{', '.join(map(_quoted, t.systems))}]"
        more += f", source = {_quoted(t.source)}" if t.source else ""
        rows.append(f'{_quoted(t.name)} = {{ per = "{t.per}", hours = {_plain(t.hours)}{more} }}')
    rows += ["", "[colours]"]
    rows += [
        f'{_quoted(c.name)} = {{ shade = "{c.shade}", factor = {_plain(c.factor)} }}'
        for c in book.colours
    ]
    return "\n".join(rows) + "\n"


def write_prices(book: PriceBook, path: str | Path) -> None:
    """Write the book as a TOML file, whole or not at all."""
    write_whole(Path(path), prices_text(book).encode("utf-8"))


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return (
        '"' + "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped) + '"'
    )


def _plain(value: Decimal) -> str:
    return f"{value:f}"
