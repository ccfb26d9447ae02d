"""Works out in a process of its own what is for the shop: the pieces of a job, its package."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from roofmodel.errors import RoofmodelError
from roofmodel_ui.answering import serve, tell
from roofmodel_ui.shop_tasks import (
    Answer,
    Package,
    Pieces,
    PiecesTask,
    Refused,
    Slit,
    SlitCut,
    SlittingTask,
    Task,
    Told,
)

if TYPE_CHECKING:
    from roofmodel.document import Project
    from roofmodel_io.pdf.paper import Paper


def main() -> None:
    """Answer until the input ends."""
    serve(Task, _do)


def _do(task: Task) -> None:
    try:
        for answer in _answers(task):
            tell(answer)
    except RoofmodelError as error:
        tell(Refused(str(error)))


def _answers(task: Task) -> Iterator[Answer]:
    from roofmodel.results import results_of
    from roofmodel.shop.pieces import released_pieces
    from roofmodel_io.shop_package import shop_job, write_shop_package

    if isinstance(task, PiecesTask):
        results = results_of(task.project, planner=None)  # pieces do not hang on cutting plans
        yield Pieces(released_pieces(shop_job(results)))
        return
    if isinstance(task, SlittingTask):
        yield _slit(task.project)
        return
    results = results_of(task.project)
    from roofmodel_ui.shop_commands import picture_of

    paper: Paper | None = task.paper or None  # type: ignore[assignment]
    written = write_shop_package(
        Path(task.folder),
        results,
        lambda: picture_of(results),
        paper=paper,
        report=lambda done, count, words: tell(Told(done, count, words)),
        token=task.token,
    )
    yield Package(
        str(written.folder), written.files, written.drawings, written.revision, written.slit
    )


def _slit(project: Project) -> Slit:
    """The slitting plan of a project."""
    from roofmodel.results import results_of
    from roofmodel.sheets.slitting import (
        cut_words,
        girth_words,
        proof_of,
        slit_sheets,
        slitting_notes,
        slitting_words,
        whose_words,
    )
    from roofmodel_io.shop_package import shop_job

    job = shop_job(results_of(project, planner=None))  # nor do blanks hang on cutting plans
    units = project.units
    cuts = []
    sheets = slit_sheets(job)
    proofs = []
    for sheet in sheets:
        whose = f"{sheet.covering}, {sheet.metal}" if len(sheets) > 1 else "Plan"
        proofs.append(f"{whose}: {proof_of(sheet.plan)}.")
    for sheet in sheets:
        for kind in sheet.kinds:
            strips = tuple(
                f"{girth_words(s, units)}: {whose_words(s, units)}" for s in kind.strips
            )
            cuts.append(SlitCut(f"{kind.times} × {cut_words(kind, units)}", strips))
    said = tuple(s for s in (slitting_words(job), *proofs, *slitting_notes(job)) if s)
    return Slit(said, tuple(cuts))


if __name__ == "__main__":
    main()
