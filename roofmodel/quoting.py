"""What a job and its offers cost, from the results that the rest of the program shows."""

from __future__ import annotations

from decimal import Decimal

from roofmodel.cutting import Planner, plan_cuts
from roofmodel.document import Project
from roofmodel.document.offer_edits import as_offered
from roofmodel.document.offers import Offer
from roofmodel.errors import RoofmodelError
from roofmodel.price import Priced, Site, not_priced, priced
from roofmodel.results import Results, results_of
from roofmodel.surface import Surface
from roofmodel.takeoff.extras import labour_factor


def price_of(results: Results) -> Priced | None:
    """The price of a job in its colour; None where it has no price book."""
    project = results.project
    if project.prices is None:
        return None
    return priced(
        results.take_off,
        results.surface,
        project.systems(),
        project.prices,
        _site(project, results.surface),
        project.colour,
    )


def offers_of(
    results: Results, planner: Planner | None = plan_cuts
) -> tuple[tuple[Offer, Priced], ...]:
    """Every offer of a job with its price, all from the same roof."""
    out = []
    book = results.project.prices
    if book is None:
        return ()
    for offer in results.project.offers:
        found: Priced | None
        try:
            found = price_of(results_of(as_offered(results.project, offer), planner=planner))
        except RoofmodelError as error:  # what it names is no longer in the job
            found = not_priced(str(error), book.currency)
        if found is not None:
            out.append((offer, found))
    return tuple(out)


def _site(project: Project, surface: Surface) -> Site:
    """What the work depends on beside the take-off: layers to tear off, openings, slow planes."""
    old = project.work.old_roof
    slower = {}
    for plane in surface.planes:
        by_slope, by_height, by_access = labour_factor(project, plane)
        slower[plane.id] = Decimal(f"{by_slope * by_height * by_access:.6g}")
    return Site(
        old.layers if old.over == "tear-off" else 0,
        slower,
        "slope by height by access, the mean over the planes by area",
        project.work.underlayment != "",
    )
