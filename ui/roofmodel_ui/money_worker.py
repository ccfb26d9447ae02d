"""Works out in a process of its own what takes many roofs: prices of offers, how sure a price is.
`Done` or `Refused` is the last answer of a task."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from roofmodel.document import Project
from roofmodel.document.offer_edits import as_offered
from roofmodel.errors import DocumentError, RoofmodelError
from roofmodel_ui.answering import serve, tell
from roofmodel_ui.money_tasks import (
    Answer,
    Certainty,
    Compared,
    CompareTask,
    Done,
    FieldTask,
    OfferPrice,
    OffersTask,
    Refused,
    Span,
    SpreadTask,
    Task,
    Told,
    Wanted,
)

if TYPE_CHECKING:
    from roofmodel.spread import Spread
    from roofmodel_io.pdf.paper import Paper


_last: list[tuple[Project, Spread]] = []


def answers(task: Task, tell: Callable[[Answer], None]) -> None:
    """Do a task, and tell every answer as soon as it is there."""
    try:
        match task:
            case OffersTask():
                for price in _offers(task.project):
                    tell(price)
            case SpreadTask():
                tell(_certainty(task.project, tell))
            case FieldTask():
                _write_field_sheet(task, tell)
            case CompareTask():
                tell(_compared(task.before, task.after))
    except RoofmodelError as error:
        tell(Refused(str(error)))
        return
    tell(Done())


def _offers(project: Project) -> Iterator[OfferPrice]:
    """All of them with estimated trim first, which is quick, then with cutting plans."""
    from roofmodel.cutting import plan_cuts  # late: it brings the solver
    from roofmodel.quoting import price_of
    from roofmodel.results import results_of

    refused: dict[str, RoofmodelError] = {}
    for planner in (None, plan_cuts):
        for offer in project.offers:
            try:
                results = results_of(as_offered(project, offer), planner=planner)
            except RoofmodelError as error:
                refused[offer.id] = error  # the others have their prices all the same
                continue
            found = price_of(results)
            if found is not None:
                plans = results.take_off.cutting_plans
                exact = planner is not None or not any(p.state == "estimate" for p in plans)
                yield OfferPrice(
                    offer.id, found.price, found.materials, found.work, found.missing, exact
                )
    names = {o.id: o.name for o in project.offers}
    for offer_id, why in refused.items():
        raise DocumentError(f"{names[offer_id]}: {why}") from why


def _spread(project: Project, tell: Callable[[Answer], None]) -> Spread:
    """That of the project; the last one is kept, since its field sheet may be wanted next."""
    from roofmodel.spread import spread_of

    if not _last or _last[0][0] != project:
        _last[:] = [(project, spread_of(project, lambda done, count: tell(Told(done, count))))]
    return _last[0][1]


def _write_field_sheet(task: FieldTask, tell: Callable[[Answer], None]) -> None:
    from roofmodel.results import results_of
    from roofmodel_io.atomic import write_whole
    from roofmodel_io.field_sheet import field_pdf

    project, path = task.project, Path(task.path)
    tell(_certainty(project, tell))
    spread = _spread(project, tell)
    results = results_of(project, planner=None)  # no trim stands on the sheet
    paper: Paper = "letter" if project.units.system == "feet" else "a4"
    pdf = field_pdf(results, spread, paper=paper, date=task.date, file_name=path.name)
    write_whole(path, pdf)


def _certainty(project: Project, tell: Callable[[Answer], None]) -> Certainty:
    found = _spread(project, tell)
    return Certainty(
        tuple(Span(r.name, r.unit, r.value, r.low, r.high) for r in found.ranges),
        found.target,
        tuple(Wanted(m.part, m.edge, m.name, m.value, left) for m, left in found.best),
    )


def _compared(before: Project, after: Project) -> Compared:
    from roofmodel.results import results_of
    from roofmodel.spread.run import main_quantities

    old, new = (main_quantities(results_of(p)) for p in (before, after))
    none = ("", 0.0)
    return Compared(
        tuple(
            (name, unit, old.get(name, none)[1], new.get(name, none)[1])
            for name, (unit, _) in {**new, **old}.items()
        )
    )


def main() -> None:
    """Answer until the input ends."""
    serve(Task, lambda task: answers(task, tell))


if __name__ == "__main__":
    main()
