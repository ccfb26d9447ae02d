"""Hours of work from what the take-off has measured, priced by the hour."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final, NamedTuple

from roofmodel.price.money import cents, plain, quantity
from roofmodel.price.types import PricedLine
from roofmodel.surface import Surface
from roofmodel.surface.types import EdgeId, PlaneId
from roofmodel.systems import EdgeKind
from roofmodel.systems.prices import PriceBook, Task
from roofmodel.takeoff import TakeOff
from roofmodel.units import MM2_PER_SQUARE, MM_PER_FT

_LENGTHS: Final[Mapping[str, tuple[EdgeKind, ...]]] = {
    "ridge length": (EdgeKind.RIDGE,),
    "hip length": (EdgeKind.HIP,),
    "valley length": (EdgeKind.VALLEY,),
    "eave length": (EdgeKind.EAVE, EdgeKind.HIGH_EAVE, EdgeKind.DECK_EDGE),
    "rake length": (EdgeKind.RAKE,),
    "transition length": (EdgeKind.PITCH_TRANSITION,),
    "wall length": (EdgeKind.HEADWALL, EdgeKind.SIDEWALL),
}


class Measured(NamedTuple):
    """How much there is of what a task is counted by, in its unit, with the formula."""

    amount: Decimal
    unit: str
    how: str
    planes: tuple[PlaneId, ...] = ()
    edges: tuple[EdgeId, ...] = ()


class Site(NamedTuple):
    """What the job says beside the roof: layers torn off, openings, and how much longer steep
    and high planes take, by plane (1: as on the flat), with words why."""

    torn_layers: int
    openings: int
    slower: Mapping[PlaneId, Decimal]
    why: str = ""


def priced_tasks(
    take_off: TakeOff, surface: Surface, book: PriceBook, site: Site
) -> list[PricedLine]:
    """Every task that the job has, in the book's order."""
    out = []
    for task in book.tasks:
        measured = _measure(task, take_off, surface, site)
        if measured.amount > 0:
            out.append(_priced(task, measured, book, _slower(task, take_off, surface, site), site))
    return out


def _priced(
    task: Task, measured: Measured, book: PriceBook, slower: Decimal, site: Site
) -> PricedLine:
    hours = quantity(float(measured.amount * task.hours * slower))
    formula = f"{plain(measured.amount)} {measured.unit} × {plain(task.hours)} (hours for each)"
    if slower != 1:
        formula += f" × {plain(slower)} ({site.why or 'slope and height'})"
    return PricedLine(
        "Work",
        task.name,
        "",
        hours,
        "hours",
        book.hourly,
        cents(hours * book.hourly),
        f"{plain(hours)} hours × {plain(book.hourly)}",
        formula,
        task.source or book.name,
        measured.planes,
        measured.edges,
    )


def _measure(task: Task, take_off: TakeOff, surface: Surface, site: Site) -> Measured:
    if task.per == "job":
        return Measured(Decimal(1), "job", "1")
    if task.per == "opening":
        return Measured(Decimal(site.openings), "openings", str(site.openings))
    if task.per in _LENGTHS:
        return _length(task, take_off, surface)
    if task.per == "panel squares":
        layings = [la for la in take_off.layings if not task.systems or la.system in task.systems]
        areas = {la.plane: la.field_area for la in layings}
        return _squares(areas)
    counted = _counted(task, take_off)
    areas = {p.id: p.true_area for p in surface.planes if p.id in counted}
    measured = _squares(areas)
    if task.per != "torn-off squares":
        return measured
    amount = measured.amount * site.torn_layers
    how = f"{plain(measured.amount)} squares × {site.torn_layers} layers"
    return measured._replace(amount=amount, how=how)


def _squares(areas: Mapping[PlaneId, float]) -> Measured:
    amount = quantity(sum(areas.values()) / MM2_PER_SQUARE)
    return Measured(amount, "squares", f"{plain(amount)} squares", tuple(areas))


def _length(task: Task, take_off: TakeOff, surface: Surface) -> Measured:
    planes = _counted(task, take_off)
    edges = [
        e
        for e in surface.edges
        if e.kind in _LENGTHS[task.per]
        and e.id in take_off.edges
        and any(p in planes for p in e.planes)
    ]
    amount = quantity(sum(e.length for e in edges) / MM_PER_FT)
    return Measured(amount, "ft", f"{plain(amount)} ft", (), tuple(e.id for e in edges))


def _counted(task: Task, take_off: TakeOff) -> set[PlaneId]:
    """The planes that a task is done on: those under one of its systems."""
    known = {la.system for la in take_off.layings} | {t.system for t in take_off.trim}
    wanted = set(task.systems) or known
    return {p for p, covering in take_off.coverings.items() if covering in wanted}


def _slower(task: Task, take_off: TakeOff, surface: Surface, site: Site) -> Decimal:
    """How much longer a task takes on these slopes: the mean over its planes' areas."""
    if not task.on_slopes or not site.slower:
        return Decimal(1)
    planes = _counted(task, take_off)
    areas = {p.id: Decimal(repr(p.true_area)) for p in surface.planes if p.id in planes}
    return mean(((site.slower.get(p, Decimal(1)), a) for p, a in areas.items()))


def mean(weighted: Iterable[tuple[Decimal, Decimal]]) -> Decimal:
    """The mean of (value, weight) pairs with three decimals; 1 where nothing weighs."""
    some = list(weighted)
    whole = sum((w for _, w in some), Decimal(0))
    if not whole:
        return Decimal(1)
    return quantity(float(sum((v * w for v, w in some), Decimal(0)) / whole))
