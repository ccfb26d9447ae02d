"""What the lists of the Count stage have in common: they follow one search."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from roofmodel_ui.panels.catching import CatchUp
from roofmodel_ui.panels.lines import Wanted


class ListPage(QWidget):
    """A page brought up to date when it is looked at (`_catch`)."""

    wanted: Wanted
    _catch: CatchUp
    _busy: bool

    def show_wanted(self, wanted: Wanted) -> None:
        """Show only the rows that fit."""
        if wanted != self.wanted:
            self.wanted = wanted
            self._catch.later()

    def busy(self) -> bool:
        """Whether this list is selecting just now."""
        return self._busy
