"""The slitting plan of trim in the Hand over stage: every cut of coil and what it is slit into."""

from __future__ import annotations

import re
from html import escape
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from roofmodel_ui.panels.fields import quiet
from roofmodel_ui.session import Session
from roofmodel_ui.shop_tasks import Slit, SlitCut
from roofmodel_ui.slitting import Slitting

_OLD: Final = "The roof or the rules have changed since: work it out again."
_INDENT_PX: Final = 14


class SlittingList(QWidget):
    """A button, what is said of the metal and of the plan, and the cuts: words that wrap, as long
    as they are, for the panel around them scrolls."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self.slitting = Slitting(session, self)
        self.button = QPushButton()
        self.button.setToolTip("How all trim is slit from the trim coils, cut by cut.")
        self.button.clicked.connect(self._clicked)
        self.said = quiet()
        self.list = QLabel()
        self.list.setAccessibleName("Slitting plan")
        self.list.setTextFormat(Qt.TextFormat.RichText)
        self.list.setWordWrap(True)
        self.list.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        layout.addWidget(self.button)
        layout.addWidget(self.said)
        layout.addWidget(self.list)
        self._shown: Slit | None = None
        self.slitting.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what is known; a plan of the roof as it was says so."""
        slitting = self.slitting
        self.button.setText("Cancel" if slitting.working else "Work out the slitting plan")
        self.button.setEnabled(slitting.working or bool(self._session.results.take_off.trim))
        slit = slitting.slit
        said = list(slit.sentences) if slit is not None else []
        is_current = slit is not None and slitting.is_current
        if slitting.working:
            said = ["Working …"]
        elif slit is not None and not is_current:
            said = [_OLD]
        self.said.setText("\n".join(said))
        self.said.setVisible(bool(said))
        has_cuts = slit is not None and bool(slit.cuts)
        self.list.setVisible(has_cuts and is_current and not slitting.working)
        if slit is not None and slit is not self._shown:
            self._shown = slit
            self.list.setText("".join(_cut_html(cut) for cut in slit.cuts))

    def _clicked(self) -> None:
        if self.slitting.working:
            self.slitting.cancel()
        else:
            self.slitting.work_out()


def _cut_html(cut: SlitCut) -> str:
    """A cut, and below it each kind of strip in it."""
    inner = f"margin: 3px 0 0 {_INDENT_PX}px"
    strips = "".join(f'<p style="{inner}">{_unbroken(words)}</p>' for words in cut.strips)
    return f'<p style="margin: 8px 0 0 0"><b>{_unbroken(cut.words)}</b></p>{strips}'


def _unbroken(words: str) -> str:
    """Words for HTML, whose lines break at no fraction of an inch."""
    return re.sub(r"(?<=\d) (?=\d+/\d)", "&nbsp;", escape(words))
