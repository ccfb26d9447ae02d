"""Colours, fonts and the one style sheet of the program. Neutral ground, one accent; only the
roof is loud. Everything visual that is not an edge kind (see `roofmodel.scene.look`) is here."""

from __future__ import annotations

from typing import Final

from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication

GROUND: Final = "#F3F4F6"
PAPER: Final = "#FFFFFF"
INK: Final = "#1F2933"
QUIET: Final = "#566370"
LINE: Final = "#D3D8DE"
ACCENT: Final = "#4B3FB5"
ACCENT_SOFT: Final = "#E6E3F7"
ERROR_GROUND: Final = "#FBE9E2"
ERROR_INK: Final = "#8A2B06"
ROOF: Final = "#86A9C6"
ROOF_FILL: Final = "#D5E3EF"
ROOF_OTHER: Final = "#B9C2C9"
ROOF_APART: Final = "#D9DCDE"
WALL: Final = "#FBF8F2"
FASCIA: Final = "#F4F5F6"
SOFFIT: Final = "#E9E6DF"
CHIMNEY: Final = "#C9B8AC"
PIPE: Final = "#8C949B"
FRAME: Final = "#5F6973"
GLASS: Final = "#B9DCEB"
SKY_TOP: Final = "#DDE5EC"
SKY_LOW: Final = "#F7F8F9"
LAND: Final = "#E3E5DF"
LAND_SHADE: Final = "#B9BDB6"

_SHEET: Final = f"""
QWidget#stages {{ background: {PAPER}; border-bottom: 1px solid {LINE}; }}
QToolButton.stage {{ border: 0; border-bottom: 3px solid transparent; padding: 8px 18px 6px;
    font-weight: 600; color: {QUIET}; background: transparent; }}
QToolButton.stage:hover {{ color: {INK}; background: {GROUND}; }}
QToolButton.stage:checked {{ color: {ACCENT}; border-bottom-color: {ACCENT}; }}
QWidget#rail {{ background: {PAPER}; border-right: 1px solid {LINE}; }}
QToolButton.tool {{ border: 1px solid transparent; border-radius: 6px; padding: 7px 6px;
    color: {INK}; background: transparent; }}
QToolButton.tool:hover {{ background: {GROUND}; }}
QToolButton.tool:checked {{ background: {ACCENT_SOFT}; border-color: {ACCENT}; color: {ACCENT}; }}
QToolButton.tool:disabled {{ color: #9AA4AE; }}
QWidget#side {{ background: {PAPER}; border-left: 1px solid {LINE}; }}
QFrame#notice {{ background: {ACCENT_SOFT}; border-bottom: 1px solid {LINE}; }}
QFrame#notice[error="true"] {{ background: {ERROR_GROUND}; }}
QFrame#notice[error="true"] QLabel {{ color: {ERROR_INK}; }}
QLabel.heading {{ font-size: 12pt; font-weight: 600; color: {INK}; }}
QLabel.quiet {{ color: {QUIET}; }}
QWidget#totals {{ background: {PAPER}; border-top: 1px solid {LINE}; }}
QLineEdit {{ border: 1px solid #B4BCC5; border-radius: 4px; padding: 4px 6px;
    background: {PAPER}; color: {INK}; selection-background-color: {ACCENT}; }}
QLineEdit:focus {{ border: 1px solid {ACCENT}; }}
QLineEdit:disabled {{ background: {GROUND}; color: {QUIET}; }}
QPushButton {{ border: 1px solid #B4BCC5; border-radius: 4px; padding: 6px 12px;
    background: {PAPER}; color: {INK}; }}
QPushButton:hover {{ border-color: {ACCENT}; }}
QPushButton:pressed {{ background: {ACCENT_SOFT}; }}
QPushButton:disabled {{ color: #9AA4AE; }}
QPushButton.small, QToolButton.small {{ border: 1px solid #B4BCC5; border-radius: 4px;
    padding: 4px 5px; background: {PAPER}; color: {INK}; }}
QToolButton.small:hover {{ border-color: {ACCENT}; }}
QToolButton.small:disabled {{ color: #9AA4AE; }}
QToolButton.small::menu-indicator {{ width: 0; image: none; }}
QTreeWidget#parts {{ border: 1px solid {LINE}; border-radius: 4px; }}
QFrame#problems {{ background: {PAPER}; border: 1px solid #B4BCC5; }}
QFrame#problem {{ border: 0; border-bottom: 1px solid {LINE}; }}
QTreeWidget {{ border: 0; border-top: 1px solid {LINE}; background: {PAPER}; outline: 0; }}
QTreeWidget::item {{ padding: 2px 4px; }}
QHeaderView::section {{ background: {GROUND}; border: 0; border-bottom: 1px solid {LINE};
    padding: 4px 6px; color: {QUIET}; }}
QScrollArea, QWidget#forms {{ border: 0; background: {PAPER}; }}
QSplitter::handle {{ background: {LINE}; }}
QToolTip {{ color: {INK}; background: {PAPER}; border: 1px solid {LINE}; }}
"""


def apply(app: QApplication) -> None:
    """Dress the whole application."""
    app.setStyle("Fusion")
    palette = QPalette()
    role = QPalette.ColorRole
    for which, color in (
        (role.Window, GROUND), (role.Base, PAPER), (role.AlternateBase, GROUND),
        (role.Button, PAPER), (role.Text, INK), (role.WindowText, INK), (role.ButtonText, INK),
        (role.Highlight, ACCENT), (role.HighlightedText, PAPER), (role.PlaceholderText, QUIET),
        (role.ToolTipBase, PAPER), (role.ToolTipText, INK), (role.Accent, ACCENT),
    ):  # fmt: skip
        palette.setColor(which, QColor(color))
    for which in (role.Text, role.WindowText, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor("#8A949E"))
    app.setPalette(palette)
    app.setStyleSheet(_SHEET)


def plan_font(size: float = 9.0, *, bold: bool = False) -> QFont:
    """The font of words in the plan."""
    font = QFont(QApplication.font())
    font.setPointSizeF(size)
    font.setBold(bold)
    return font
