"""What lights up in plan and 3D besides what is selected: the planes and edges that the line of
the take-off pointed out came from. It changes nothing that a command acts on."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QObject, Signal

from roofmodel_ui.selection import Selectable, Selection


class Highlight(QObject):
    """The planes and edges that are lit; `changed` when others are, `sought` when the views are
    to go there."""

    changed = Signal()
    sought = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._items: Selection = frozenset()

    @property
    def items(self) -> Selection:
        """What is lit now; ids that are gone from the roof light nothing."""
        return self._items

    def show(self, items: Iterable[Selectable]) -> None:
        """Light exactly these."""
        lit = frozenset(items)
        if lit != self._items:
            self._items = lit
            self.changed.emit()

    def seek(self) -> None:
        """Have plan and 3D show where what is lit is."""
        if self._items:
            self.sought.emit()
