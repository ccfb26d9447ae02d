"""Ribs and seams in the 3D view: only where panels show, and none while the roof is dragged."""

from __future__ import annotations

from typing import Final

from roofmodel.results import Results
from roofmodel.scene.laid import Laid, laid_on
from roofmodel.scene.ribs import ribs_of
from roofmodel_ui.hiding import shown

NO_RIBS: Final = ribs_of((), ())
MOST_DRAGGED: Final = 4
"""Ribs of so many planes, new at each step of a drag, keep it quick."""


class RibsInView:
    """The ribs of what is shown. `wanted` says whether panels show at all.

    While the roof itself is dragged there are none, they follow when it is let go; while only
    panels are, they move along: those of other planes cost nothing.
    """

    def __init__(self) -> None:
        self.wanted = False
        self.ribs = NO_RIBS
        self._laid: tuple[Laid, ...] = ()

    def refresh(self, results: Results, *, dragged: bool) -> bool:
        """Bring the ribs up to the results; whether there are others now."""
        laid: tuple[Laid, ...] = ()
        if self.wanted:
            laid = tuple(laid_on(shown(results).surface.planes, results.take_off.layings).values())
            if dragged and len(set(laid).difference(self._laid)) > MOST_DRAGGED:
                laid = ()
        if laid == self._laid:
            return False
        self._laid = laid
        self.ribs = ribs_of(laid, results.project.systems()) if laid else NO_RIBS
        return True
