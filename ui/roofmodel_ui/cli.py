"""The command line: `roofmodel` opens the window, its commands work without one.

Exit codes: 0 done; 1 the file or the project is wrong, with one line on stderr; 2 wrong usage.
Nothing of the window or the 3D view is imported before a command needs it.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from roofmodel import __version__
from roofmodel.errors import FileError, RoofmodelError
from roofmodel_ui import field_command, money_commands, shop_commands
from roofmodel_ui.own_output import keep_output

if TYPE_CHECKING:
    from roofmodel.document import Units
    from roofmodel.results import Results
    from roofmodel.sheets import Table

_PIPE_WIDTH = 150  # columns of tables when the output is no terminal
_OWN_OPTIONS = ("--help", "-h", "--version")

app = typer.Typer(
    name="roofmodel",
    help="Model a roof in 3D from a traced outline: planes, edges, panels, trim, drawings."
    " Without a command: open the window, with FILE if one is named.",
    add_completion=False,
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

ProjectFile = Annotated[Path, typer.Argument(metavar="FILE", help="A project file (.roof).")]

money_commands.add_to(app)
field_command.add_to(app)
shop_commands.add_to(app)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; always ends in SystemExit with 0, 1 or 2."""
    keep_output()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a console that knows no "²" still gets numbers
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        app(_with_command(words), prog_name="roofmodel")
    except RoofmodelError as error:
        _complain(str(error))
        sys.exit(1)


def _with_command(words: list[str]) -> list[str]:
    """The words with the command `open` put first where they name no other command."""
    commands = {c.name or getattr(c.callback, "__name__", "") for c in app.registered_commands}
    if words and (words[0] in commands or words[0] in _OWN_OPTIONS):
        return words
    return ["open", *words]


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"roofmodel {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    pass


@app.command("open")
def open_file(
    file: Annotated[
        Path | None, typer.Argument(metavar="[FILE]", help="A project file (.roof).")
    ] = None,
    screenshot: Annotated[
        Path | None,
        typer.Option(hidden=True, help="Save a picture of the window here and close it."),
    ] = None,
) -> None:
    """Open the window, with a project if one is named."""
    from roofmodel_ui.begin import show

    raise typer.Exit(show(file, screenshot))


@app.command()
def takeoff(
    file: ProjectFile,
    json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="OUT", help="Write the quantities as CSV.")
    ] = None,
    xlsx: Annotated[
        Path | None, typer.Option("--xlsx", metavar="OUT", help="Write a workbook.")
    ] = None,
) -> None:
    """Print what the roof needs: planes, edges, panels, trim, quantities."""
    if json + (csv is not None) + (xlsx is not None) > 1:
        raise typer.BadParameter("choose one of --json, --csv and --xlsx.")
    results = _results_of(file)
    if json:
        from roofmodel_io.takeoff_json import takeoff_json

        if isinstance(sys.stdout, io.TextIOWrapper):
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(takeoff_json(results))
    elif csv is not None:
        from roofmodel_io.takeoff_tables import write_takeoff_csv

        write_takeoff_csv(csv, results)
        typer.echo(f"Wrote {csv}: the quantities.")
    elif xlsx is not None:
        from roofmodel_io.takeoff_tables import write_takeoff_xlsx

        write_takeoff_xlsx(xlsx, results)
        typer.echo(f"Wrote {xlsx}: summary, planes, edges, panels, trim, cutting.")
    else:
        print_take_off(results)
    end_with(results)


@app.command()
def picture(
    file: ProjectFile,
    out: Annotated[Path, typer.Option("--out", metavar="PNG", help="The picture to write.")],
) -> None:
    """Draw the roof in 3D into a picture; needs no display."""
    if out.suffix.lower() != ".png":
        raise typer.BadParameter(f"'{out}' must end in .png.", param_hint="--out")
    results = _results_of(file)
    need_roof(results, file)
    write_picture(results, out)
    typer.echo(f"Wrote {out}: the roof in 3D.")
    end_with(results)


@app.command()
def check(file: ProjectFile) -> None:
    """Say what is wrong or doubtful in a project, and what rules say, one line each."""
    results = _results_of(file)
    serious = [_line(p.sentence) for p in results.problems if p.serious]
    doubts = _doubts(results)
    for sentence in serious:
        typer.echo(f"serious: {sentence}")
    for sentence in doubts:
        typer.echo(f"to check: {sentence}")
    failed = [c for c in results.take_off.checks if not c.passed]
    for found in failed:
        typer.echo(f"rule: {_line(found.sentence)} ({found.rule}; {found.edition})")
    if not results.project.sections():
        typer.echo("The project holds no section yet.")
    elif not (serious or doubts or failed):
        typer.echo("Nothing wrong found.")
    end_with(results)


def write_picture(results: Results, out: Path) -> None:
    """Draw the roof in 3D into the PNG file `out`, whole or not at all."""
    from roofmodel_io.atomic import write_whole
    from roofmodel_ui.view3d import picture_png

    write_whole(out, picture_png(results))


def print_take_off(results: Results) -> None:
    """Print planes, panels' cut list, quantities, the trim's cutting plan, in project units."""
    from roofmodel.sheets import (
        cutting_table,
        order_table,
        panels_table,
        planes_table,
        quantities_table,
        squares_of,
    )

    units = results.project.units
    typer.echo(f"{_line(results.project.job.name)}: {squares_of(results)}")
    for table in (
        planes_table(results),
        panels_table(results),
        order_table(results),
        quantities_table(results.take_off.quantities),
        cutting_table(results.take_off, results.project),
    ):
        if table.rows:
            print_table(table, units)
    for sentence in _doubts(results):
        typer.echo(f"To check: {sentence}")


def print_table(table: Table, units: Units) -> None:
    """Print one table. Columns that hold nothing are left out, the sources of rules, the
    formulas of packs, and the only building and covering of a job: those are in the files. A
    first column "Group" becomes headings."""
    from rich.console import Console
    from rich.table import Table as RichTable
    from rich.text import Text

    from roofmodel.sheets import Amount, shown

    console = Console(highlight=False, width=None if sys.stdout.isatty() else _PIPE_WIDTH)
    drawn = RichTable(title=Text(table.title, "bold"), title_justify="left")
    kept = [
        i
        for i, column in enumerate(table.columns)
        if column.title not in ("Group", "How many packs", "Source")
        and any(row[i] for row in table.rows)
        and not (
            column.title in ("Building", "Covering") and len({row[i] for row in table.rows}) == 1
        )
    ]
    for i in kept:
        is_number = any(isinstance(row[i], Amount) for row in table.rows)
        drawn.add_column(
            Text(table.columns[i].title),
            justify="right" if is_number else "left",
            no_wrap=is_number,
        )
    heading: object = None
    for row in table.rows:
        if table.columns[0].title == "Group" and row[0] != heading:
            heading = row[0]
            drawn.add_section()
            drawn.add_row(Text(shown(row[0], units), "bold"))
        drawn.add_row(*(Text(shown(row[i], units)) for i in kept))
    totals = [*table.subtotals, *([table.total] if table.total else [])]
    if totals:
        drawn.add_section()
    for row in totals:
        drawn.add_row(*(Text(shown(row[i], units), "bold") for i in kept))
    console.print(drawn)


def _results_of(file: Path) -> Results:
    from roofmodel.results import results_of
    from roofmodel_io.project_file import read_project

    return results_of(read_project(file).project)


def _doubts(results: Results) -> list[str]:
    """What is doubtful but not serious, each sentence once: the take-off repeats some."""
    sentences = [p.sentence for p in results.problems if not p.serious]
    return list(dict.fromkeys(_line(s) for s in (*sentences, *results.take_off.warnings)))


def need_roof(results: Results, file: Path) -> None:
    """Raise FileError if there is no plane to draw."""
    if results.surface.planes:
        return
    serious = [p.sentence for p in results.problems if p.serious]
    if serious:
        raise FileError(_line(serious[0]))
    raise FileError(f"'{file}' holds no roof yet; open it and trace an outline first.")


def end_with(results: Results) -> None:
    """End with 1 and one line on stderr if part of the roof could not be built."""
    serious = [p.sentence for p in results.problems if p.serious]
    if not serious:
        return
    more = f" (and {len(serious) - 1} more; see roofmodel check)" if len(serious) > 1 else ""
    _complain(f"The roof is not complete. {_line(serious[0])}{more}")
    raise typer.Exit(1)


def _complain(sentence: str) -> None:
    typer.echo(_line(sentence), err=True)


def _line(sentence: str) -> str:
    return " ".join(sentence.split())
