"""A box to tick whose value is the document's."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QCheckBox


class Tick(QCheckBox):
    """Yes or no; taken over as soon as it is pressed."""

    def __init__(self, text: str, take: Callable[[bool], None]) -> None:
        super().__init__(text)
        self.setAccessibleName(text)
        self._shown = False
        self._take = take
        self.clicked.connect(self._pressed)

    def show_value(self, on: bool) -> None:
        """Show what the document says."""
        self._shown = on
        self.setChecked(on)

    def _pressed(self, on: bool) -> None:
        self._take(on)
        self.setChecked(self._shown)  # what the document now holds
