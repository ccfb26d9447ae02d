"""Hours of work from what the take-off has measured, priced by the hour."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final, NamedTuple

from roofmodel.document import NOT_IN_JOB, OTHER
from roofmodel.price.money import cents, plain, quantity
from roofmodel.price.types import PricedLine
from roofmodel.surface import Surface
from roofmodel.surface.types import EdgeId, PlaneId
from roofmodel.systems import EdgeKind, RoofingSystem
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


_OPENING: Final = "opening "


class Measured(NamedTuple):
    """How much there is of what a task is counted by, in its unit, with the formula."""

    amount: Decimal
    unit: str
    how: str
    planes: tuple[PlaneId, ...] = ()
    edges: tuple[EdgeId, ...] = ()


class Site(NamedTuple):
    """What the job says beside the roof: layers torn off, how much longer steep and high planes
    take, by plane (1: as on the flat), with words why, and whether there is underlayment."""

    torn_layers: int
    slower: Mapping[PlaneId, Decimal]
    why: str = ""
    underlayment: bool = True


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
        return _openings(task, take_off, surface)
    if task.per in _LENGTHS:
        return _length(task, take_off, surface)
    if task.per == "panel squares":
        layings = [la for la in take_off.layings if not task.systems or la.system in task.systems]
        areas = {la.plane: la.field_area for la in layings}
        return _squares(areas)
    counted = _counted(task, take_off)
    areas = {p.id: p.true_area for p in surface.planes if p.id in counted}
    measured = _squares(areas)
    if task.per == "underlayment squares" and not site.underlayment:
        return measured._replace(amount=Decimal(0))
    if task.per != "torn-off squares":
        return measured
    amount = measured.amount * site.torn_layers
    how = f"{plain(measured.amount)} squares × {site.torn_layers} layers"
    return measured._replace(amount=amount, how=how)


def _squares(areas: Mapping[PlaneId, float]) -> Measured:
    amount = quantity(sum(areas.values()) / MM2_PER_SQUARE)
    return Measured(amount, "squares", f"{plain(amount)} squares", tuple(areas))


def _length(task: Task, take_off: TakeOff, surface: Surface) -> Measured:
    wanted = _wanted(task, take_off)
    # each edge counts with one covering, so that no two tasks are paid for it
    edges = [
        e
        for e in surface.edges
        if e.kind in _LENGTHS[task.per] and take_off.owners.get(e.id) in wanted
    ]
    amount = quantity(sum(e.length for e in edges) / MM_PER_FT)
    return Measured(amount, "ft", f"{plain(amount)} ft", (), tuple(e.id for e in edges))


def _openings(task: Task, take_off: TakeOff, surface: Surface) -> Measured:
    """The openings in planes that the task is done on."""
    wanted = _wanted(task, take_off)
    around: dict[str, list[EdgeId]] = {}
    for e in surface.edges:
        second = e.id.second
        is_opening = isinstance(second, str) and second.startswith(_OPENING)
        if is_opening and take_off.owners.get(e.id) in wanted:
            around.setdefault(str(second), []).append(e.id)
    edges = tuple(e for some in around.values() for e in some)
    return Measured(Decimal(len(around)), "openings", f"{len(around)} openings", (), edges)


def _wanted(task: Task, take_off: TakeOff) -> set[str]:
    """The systems that a task is done for: all that there are, or its own."""
    known = {*take_off.coverings.values()} - {OTHER, NOT_IN_JOB}
    return known & set(task.systems) if task.systems else known


def _counted(task: Task, take_off: TakeOff) -> set[PlaneId]:
    """The planes that a task is done on: those under one of its systems."""
    wanted = _wanted(task, take_off)
    return {p for p, covering in take_off.coverings.items() if covering in wanted}


def without_work(
    take_off: TakeOff, systems: Mapping[str, RoofingSystem], book: PriceBook
) -> list[PricedLine]:
    """Lines without a price for systems that no task lays, where the book has tasks at all."""
    laying = [t for t in book.tasks if t.per in ("panel squares", "roof squares")]
    out = []
    for system in dict.fromkeys(la.system for la in take_off.layings):
        if not book.tasks or any(not t.systems or system in t.systems for t in laying):
            continue
        areas = {la.plane: la.field_area for la in take_off.layings if la.system == system}
        measured = _squares(areas)
        name = systems[system].name if system in systems else system
        why = f"no task of the price book lays '{system}'; name it in a task by panel squares"
        out.append(
            PricedLine(
                *("Work", f"Laying {name}", "", measured.amount, measured.unit, None, None, ""),
                *(measured.how, why, measured.planes),
            )
        )
    return out


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
