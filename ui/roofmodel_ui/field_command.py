"""`roofmodel field`: the sheet to take up the ladder."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class PaperSize(StrEnum):
    """Sizes of paper on the command line."""

    LETTER = "letter"
    TABLOID = "tabloid"
    A4 = "a4"
    A3 = "a3"


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command()(field)


def field(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A project file (.roof).")],
    out: Annotated[Path, typer.Option("--out", metavar="PDF", help="The file to write.")],
    paper: Annotated[PaperSize, typer.Option(help="The size of paper.")] = PaperSize.LETTER,
    date: Annotated[str, typer.Option(help="Printed on it as it is given.")] = "",
) -> None:
    """Write a field sheet: a plan with the lengths and pitches to confirm on the house."""
    from roofmodel.errors import FileError
    from roofmodel.results import results_of
    from roofmodel.spread import spread_of
    from roofmodel_io.atomic import write_whole
    from roofmodel_io.field_sheet import field_pdf
    from roofmodel_io.project_file import read_project
    from roofmodel_ui.cli import end_with

    if out.suffix.lower() != ".pdf":
        raise typer.BadParameter(f"'{out}' must end in .pdf.", param_hint="--out")
    project = read_project(file).project
    results = results_of(project, planner=None)
    if not results.surface.planes:
        raise FileError(f"'{file}' holds no roof yet; open it and trace an outline first.")
    is_terminal = sys.stderr.isatty()

    def report(done: int, count: int) -> None:
        if is_terminal:
            typer.echo(f"\rBuilding roof {done} of {count} ", nl=done == count, err=True)

    spread = spread_of(project, report)
    write_whole(out, field_pdf(results, spread, paper=paper.value, date=date, file_name=out.name))
    typer.echo(f"Wrote {out}: what to measure on the house.")
    end_with(results)
