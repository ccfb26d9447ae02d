"""What of the take-off is worked out when someone looks at it: its lines, goods, checks. While a
corner is dragged nobody does, and panels and trim alone follow.

A part that cannot be counted costs only itself: it is named among the lines, has no quantity and
no price, and so makes the price incomplete.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from typing import Final

from shapely.errors import ShapelyError

from roofmodel.takeoff.check_types import Check, PlaneZones
from roofmodel.takeoff.checks import check_lines, checks_of
from roofmodel.takeoff.extras import extra_lines, labour_lines
from roofmodel.takeoff.fixing_types import PlaneFixing
from roofmodel.takeoff.job_goods import Goods, goods_of
from roofmodel.takeoff.layers import layer_lines
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.tear_off import tear_off_lines
from roofmodel.takeoff.trim_types import TrimRun
from roofmodel.takeoff.types import Quantity
from roofmodel.takeoff.zones import zones_of

NOT_COUNTED: Final = "Not counted"
_LOST = (ArithmeticError, IndexError, KeyError, ValueError, ShapelyError)
"""What counting may end in where corners nearly coincide."""

Lines = Callable[[], Iterable[Quantity]]


class Looked:
    """The later part of one take-off; `metal` gives the lines on areas, panels and trim."""

    def __init__(self, site: Site, trim: Sequence[TrimRun], metal: Lines) -> None:
        self._site, self._trim, self._metal = site, trim, metal

    def lines(self) -> tuple[Quantity, ...]:
        """All lines."""
        site = self._site
        out: list[Quantity] = []
        parts: tuple[tuple[str, Lines], ...] = (
            ("Areas, edges, panels and trim", self._metal),
            ("Fasteners, sealing and closures", lambda: self._goods.lines),
            ("Underlayment, membrane and deck", lambda: layer_lines(site)),
            ("Tear-off", lambda: tear_off_lines(site)),
            ("Extras", lambda: extra_lines(site)),
            ("Labour", lambda: labour_lines(site)),
            ("Checks", lambda: check_lines(site)),
        )
        for what, find in parts:
            try:
                out += find()
            except _LOST:
                out.append(not_counted(what))
        return tuple(out)

    def fixings(self) -> tuple[PlaneFixing, ...]:
        """Where the panels of each plane are fastened."""
        try:
            return self._goods.fixings
        except _LOST:
            return ()

    def checks(self) -> tuple[Check, ...]:
        """What rules say of the roof."""
        try:
            return checks_of(self._site)
        except _LOST:
            sentence = "The checks could not be made: move the part you changed last a little."
            return (Check("checks", "", sentence, (), (), passed=False),)

    def zones(self) -> tuple[PlaneZones, ...]:
        """Edge and corner zones."""
        try:
            return zones_of(self._site)
        except _LOST:
            return ()

    @cached_property
    def _goods(self) -> Goods:
        return goods_of(self._site, self._trim)


def not_counted(what: str) -> Quantity:
    """The line that stands for lines that could not be worked out."""
    return Quantity(
        NOT_COUNTED,
        what,
        "count",
        0.0,
        "0",
        "",
        note="could not be counted on this roof: move the part you changed last a little",
        key=f"not counted: {what}",
    )
