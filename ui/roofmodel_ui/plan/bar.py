"""The small bar at the foot of the plan: what the tool says and offers, and snapping."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QMenu,
    QPushButton,
    QToolButton,
    QWidget,
)

from roofmodel_ui.tools.base import Tool
from roofmodel_ui.tools.choices import Offer
from roofmodel_ui.tools.snaps import SWITCHES, Snapping

GAP_PX = 10
SCALE_BAR_PX = 150
"""Width at the left that the scale bar keeps."""


class ToolBar(QFrame):
    """Words and buttons of the tool at hand; it is there only while there is something to say."""

    def __init__(self, over: QWidget) -> None:
        super().__init__(over)
        self._over = over
        self.setObjectName("toolbar")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setAccessibleName("What the tool offers")
        self._rows = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._rows.setContentsMargins(8, 5, 6, 5)
        self._rows.setSpacing(6)
        self._words = QLabel()
        self._rows.addWidget(self._words)
        self._line = QHBoxLayout()
        self._line.setSpacing(6)
        self._rows.addLayout(self._line)
        self.buttons: list[QPushButton] = []
        self._tool: Tool | None = None
        self._shown: tuple[str, tuple[tuple[str, str], ...]] | None = None
        over.installEventFilter(self)
        self.hide()

    def set_tool(self, tool: Tool) -> None:
        """Follow this tool."""
        if self._tool is not None:
            self._tool.changed.disconnect(self.refresh)
        self._tool = tool
        tool.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what the tool says and offers now."""
        if self._tool is None:
            return
        note, offers = self._tool.note(), self._tool.offers()
        shown = (note, tuple((o.words, o.tip) for o in offers))
        if shown != self._shown:
            self._shown = shown
            self._words.setText(note)
            self._words.setVisible(bool(note))
            self._fill(offers)
            self.setVisible(bool(note or offers))
        self.stand()

    def stand(self) -> None:
        """Take the foot of the plan, clear of the scale bar."""
        if self.isHidden():
            return
        over = self._over
        self._words.setWordWrap(False)
        self._rows.setDirection(QBoxLayout.Direction.LeftToRight)
        self._words.setMinimumWidth(0)
        if self.sizeHint().width() > over.width() - 2 * GAP_PX:
            # Too wide for one row: the words above their buttons, broken if need be.
            self._rows.setDirection(QBoxLayout.Direction.TopToBottom)
            self._words.setWordWrap(True)
            self._words.setMinimumWidth(min(over.width() - 4 * GAP_PX, 380))
        self.adjustSize()
        x = max((over.width() - self.width()) // 2, SCALE_BAR_PX)
        x = max(min(x, over.width() - self.width() - GAP_PX), 0)
        crowded = x < SCALE_BAR_PX
        rise = 40 if crowded else 0  # too wide to stand beside the scale bar: above it
        self.move(QPoint(x, over.height() - self.height() - GAP_PX - rise))
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self.stand()
        return super().eventFilter(watched, event)

    def _fill(self, offers: tuple[Offer, ...]) -> None:
        for button in self.buttons:
            button.hide()
            button.deleteLater()
        self.buttons = []
        for number, offer in enumerate(offers):
            button = QPushButton(offer.words)
            button.setToolTip(offer.tip)
            button.setAccessibleName(offer.words)
            button.setProperty("class", "small")
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(lambda _=False, n=number: self._run(n))
            self._line.addWidget(button)
            button.show()
            self.buttons.append(button)

    def _run(self, number: int) -> None:
        """The offer as it is now: what was begun may have gone on since the button was made."""
        offers = self._tool.offers() if self._tool is not None else ()
        if number < len(offers):
            self._over.setFocus()
            offers[number].run()
        self.refresh()


class SnapButton(QToolButton):
    """Turns snapping on and off; its menu says what counts."""

    def __init__(self, snapping: Snapping, action: QAction) -> None:
        super().__init__()
        self._snapping = snapping
        self._action = action
        self.setDefaultAction(action)
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        self.setPopupMode(QToolButton.ToolButtonPopupMode.MenuButtonPopup)
        self.setAccessibleName("Snapping")
        self.setAutoRaise(True)
        menu = QMenu(self)
        self.switches: list[QAction] = []
        for words, kinds in SWITCHES:
            switch = menu.addAction(words)
            switch.setCheckable(True)
            switch.toggled.connect(lambda on, k=kinds: snapping.switch_kinds(k, on))
            self.switches.append(switch)
        menu.addSeparator()
        hint = menu.addAction("Shift held: no snapping")
        hint.setEnabled(False)
        hint = menu.addAction("Control held: own directions only")
        hint.setEnabled(False)
        self.setMenu(menu)
        snapping.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Bring words and ticks up to what is switched on."""
        on = self._snapping.on
        self._action.setText("Snapping is on" if on else "Snapping is off")
        for switch, (_, kinds) in zip(self.switches, SWITCHES, strict=True):
            switch.blockSignals(True)
            switch.setChecked(self._snapping.is_on(kinds))
            switch.setEnabled(on)
            switch.blockSignals(False)
