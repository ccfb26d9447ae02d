"""The command for the shop: `roofmodel shop`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

if TYPE_CHECKING:
    from collections.abc import Callable

    from roofmodel.document import Project
    from roofmodel.results import Results
    from roofmodel_io.pdf.paper import Paper
    from roofmodel_io.project_file import Opened

PAPERS = ("letter", "tabloid", "a4", "a3")
ProjectFile = Annotated[Path, typer.Argument(metavar="FILE", help="A project file (.roof).")]


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command()(shop)


def shop(
    file: ProjectFile,
    out: Annotated[
        Path,
        typer.Option("--out", metavar="DIR", help="A new folder, or an earlier one of these."),
    ],
    release: Annotated[
        bool,
        typer.Option("--release", help="Number what is there now as a revision, in FILE."),
    ] = False,
    paper: Annotated[
        str | None,
        typer.Option("--paper", help=f"For the booklet: {', '.join(PAPERS)}."),
    ] = None,
) -> None:
    """Write the package for shop and crew: drawings as DXF, cut lists, the booklet as PDF."""
    if paper is not None and paper not in PAPERS:
        raise typer.BadParameter(f"'{paper}' is none of {', '.join(PAPERS)}.")
    from roofmodel.results import results_of
    from roofmodel_io.folders import check_target
    from roofmodel_io.project_file import read_project
    from roofmodel_io.shop_package import write_shop_package
    from roofmodel_ui.cli import end_with, need_roof

    opened = read_project(file)
    settled: list[Path] = []

    def settle(project: Project) -> None:
        _save(file, opened, project)
        settled.append(out)

    try:
        with progress() as report:
            results = results_of(opened.project)
            need_roof(results, file)
            check_target(out)
            said, results = _released(results) if release else ("", results)
            written = write_shop_package(
                out,
                results,
                lambda: picture_of(results),
                paper=cast("Paper | None", paper),
                report=report,
                settle=lambda: settle(results.project),
            )
    except KeyboardInterrupt:
        words = f"but '{out}' was written by then" if settled else "nothing was written"
        typer.echo(f"Stopped; {words}.", err=True)
        raise typer.Exit(1) from None
    if said:
        typer.echo(said)
    typer.echo(
        f"Wrote {out}: {written.drawings} drawings, the cut lists and the booklet; field-measure"
        " before cutting."
    )
    for sentence in written.slit:
        typer.echo(sentence)
    if written.left_over is not None:
        typer.echo(f"The package of before still lies in '{written.left_over}'; take it away.")
    end_with(results)


def picture_of(results: Results) -> bytes:
    """The roof in 3D as PNG."""
    import tempfile

    from roofmodel_ui.cli import write_picture

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "roof.png"
        write_picture(results, path)
        return path.read_bytes()


@contextmanager
def progress() -> Iterator[Callable[[int, int, str], None]]:
    """A bar on the terminal, if there is one."""
    if not sys.stderr.isatty():
        yield lambda done, count, words: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    console = Console(stderr=True)
    with Progress(
        BarColumn(),
        TaskProgressColumn(),
        TextColumn("{task.description}", markup=False),
        console=console,
        transient=True,
    ) as bar:
        task = bar.add_task("")

        def report(done: int, count: int, words: str) -> None:
            bar.update(task, completed=done, total=count, description=words)

        yield report


def _save(file: Path, opened: Opened, project: Project) -> None:
    """Write the project where a release was added; FileError where a window has it open."""
    if project == opened.project:
        return
    from roofmodel.errors import FileError
    from roofmodel_io.file_lock import Owner, lock_of, take
    from roofmodel_io.project_file import write_project

    lock = take(lock_of(file))
    if isinstance(lock, Owner):
        raise FileError(f"'{file}' is open in a window; release there, or close it first.")
    try:
        write_project(file, project, opened.pictures)
    finally:
        if lock is not None:
            lock.release()


def _released(results: Results) -> tuple[str, Results]:
    """What is said of the release, and the results with it in their project."""
    import dataclasses
    import datetime

    from roofmodel.document.releases import released, revision_now
    from roofmodel.shop.pieces import released_pieces
    from roofmodel_io.shop_package import shop_job

    pieces = released_pieces(shop_job(results))
    last = revision_now(results.project.releases, pieces)
    if last is not None:
        return f"Nothing has changed since revision {last.number} of {last.date}.", results
    today = datetime.date.today().isoformat()
    project = released(results.project, pieces, today)
    words = f"Revision {project.releases[-1].number} of {today}: {len(pieces)} pieces."
    return words, dataclasses.replace(results, project=project)
