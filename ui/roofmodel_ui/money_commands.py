"""Commands about money, certainty and data: `roofmodel price`, `prices`, `sure`, `data`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from roofmodel.document import Project

BookFile = Annotated[
    Path | None,
    typer.Option("--book", metavar="TOML", help="A price book, instead of the project's own."),
]
ProjectFile = Annotated[Path, typer.Argument(metavar="FILE", help="A project file (.roof).")]


def add_to(app: typer.Typer) -> None:
    """Register the commands."""
    app.command()(price)
    app.command()(prices)
    app.command()(sure)
    app.command()(data)


def price(file: ProjectFile, book: BookFile = None) -> None:
    """Print what the job costs, line by line, its price, and the price of each offer."""
    from roofmodel.quoting import offers_of, price_of
    from roofmodel.results import results_of
    from roofmodel.sheets import price_tables
    from roofmodel_ui.cli import end_with, print_table

    project = with_book(file, book)
    results = results_of(project)
    found = price_of(results)
    assert found is not None
    assert project.prices is not None
    names = {s.id: s.name for s in project.systems()}
    for table in price_tables(found, project.prices, offers_of(results), names):
        print_table(table, project.units)
    if project.prices.sample:
        typer.echo("These prices are invented: load your own price book before a price goes out.")
    if found.missing:
        typer.echo(f"Without a price, and not in the sum: {', '.join(found.missing)}.")
    end_with(results)


def prices(
    out: Annotated[Path, typer.Argument(metavar="OUT", help="The TOML file to write.")],
) -> None:
    """Write the sample price book, to be filled with your own prices."""
    from roofmodel_io.prices_toml import sample_prices, write_prices

    write_prices(sample_prices(), out)
    typer.echo(f"Wrote {out}: sample prices, all invented. Put your own in their place.")


def sure(file: ProjectFile, book: BookFile = None) -> None:
    """Print how far off quantities and price may be, and what to measure first."""
    from roofmodel.spread import spread_of
    from roofmodel.spread.tables import measurements_table, ranges_table
    from roofmodel_io.project_file import read_project
    from roofmodel_ui.cli import print_table

    project = with_book(file, book) if book else read_project(file).project
    is_terminal = sys.stderr.isatty()

    def report(done: int, count: int) -> None:
        if is_terminal:
            typer.echo(f"\rBuilding roof {done} of {count} ", nl=done == count, err=True)

    found = spread_of(project, report)
    print_table(ranges_table(found, project), project.units)
    if found.best:
        print_table(measurements_table(found, project), project.units)
    typer.echo("Field-measure before cutting: traced lines and pitches carry their errors.")


def with_book(file: Path, book: Path | None) -> Project:
    """The project with a price book: the named one, its own, or else FileError."""
    from roofmodel.document.offer_edits import set_prices
    from roofmodel.errors import FileError
    from roofmodel_io.prices_toml import read_prices
    from roofmodel_io.project_file import read_project

    project = read_project(file).project
    if book is not None:
        return set_prices(project, read_prices(book))
    if project.prices is None:
        raise FileError(
            f"'{file}' holds no price book; name one with --book (`roofmodel prices OUT.toml`"
            " writes a sample to fill in)."
        )
    return project


def data(
    out: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to write to.")],
) -> None:
    """Write the built-in systems, sections of trim, rolls and rules, and sample prices as TOML
    files, to be edited and loaded."""
    from importlib.resources import files

    from roofmodel.errors import FileError
    from roofmodel_io.atomic import make_folder, write_whole

    make_folder(out)
    built_in = files("roofmodel_io") / "data"
    items = [*built_in.iterdir(), *(built_in / "systems").iterdir()]
    found = sorted((i for i in items if i.name.endswith(".toml")), key=lambda i: i.name)
    there = [i.name for i in found if (out / i.name).exists()]
    if there:
        raise FileError(f"'{out}' holds {there[0]} already; choose another folder.")
    for item in found:
        write_whole(out / item.name, item.read_bytes())
    typer.echo(f"Wrote {', '.join(i.name for i in found)} to {out}.")
