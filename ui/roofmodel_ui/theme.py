"""Colours, fonts and the one style sheet of the program. Neutral ground, one accent; only the
roof is loud. Everything visual that is not an edge kind (see `roofmodel.scene.look`) is here.

Colours are read from this module when something is drawn (`theme.PAPER`), never kept: `use`
puts those of the other scheme in their place.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QPalette
from PySide6.QtWidgets import QApplication

Scheme = Literal["light", "dark"]

GROUND: str = "#F3F4F6"
PAPER: str = "#FFFFFF"
INK: str = "#1F2933"
QUIET: str = "#566370"
LINE: str = "#D3D8DE"
ACCENT: str = "#4B3FB5"
ACCENT_SOFT: str = "#E6E3F7"
ERROR_GROUND: str = "#FBE9E2"
ERROR_INK: str = "#8A2B06"
ROOF: str = "#86A9C6"
ROOF_FILL: str = "#D5E3EF"
ROOF_OTHER: str = "#B9C2C9"
ROOF_APART: str = "#D9DCDE"
WALL: str = "#FBF8F2"
FASCIA: str = "#F4F5F6"
SOFFIT: str = "#E9E6DF"
CHIMNEY: str = "#C9B8AC"
PIPE: str = "#8C949B"
FRAME: str = "#5F6973"
GLASS: str = "#B9DCEB"
SKY_TOP: str = "#DDE5EC"
SKY_LOW: str = "#F7F8F9"
LAND: str = "#E3E5DF"
LAND_SHADE: str = "#B9BDB6"
GRID: str = "#ECEFF2"
BORDER: str = "#B4BCC5"
FAINT: str = "#8A949E"

_DARK: Final = {
    "GROUND": "#1E2328",
    "PAPER": "#262C33",
    "INK": "#E9EDF1",
    "QUIET": "#A7B2BD",
    "LINE": "#3B444D",
    "ACCENT": "#A79DF7",
    "ACCENT_SOFT": "#37345A",
    "ERROR_GROUND": "#4B2A1F",
    "ERROR_INK": "#FFB79C",
    "ROOF": "#86A9C6",
    "ROOF_FILL": "#36485A",
    "ROOF_OTHER": "#B9C2C9",
    "ROOF_APART": "#8E969C",
    "WALL": "#D9D5CC",
    "FASCIA": "#D8DADC",
    "SOFFIT": "#C7C4BC",
    "CHIMNEY": "#B9A89C",
    "PIPE": "#8C949B",
    "FRAME": "#5F6973",
    "GLASS": "#7FA8BA",
    "SKY_TOP": "#20262C",
    "SKY_LOW": "#39424A",
    "LAND": "#40463F",
    "LAND_SHADE": "#2F342E",
    "GRID": "#2F363E",
    "BORDER": "#56616C",
    "FAINT": "#77828D",
}
_LIGHT: Final[dict[str, str]] = {name: globals()[name] for name in _DARK}
CHOICES: Final = ("system", "light", "dark")
READABLE: Final = 3.0
"""Least contrast of a line to its ground (WCAG 2.2, success criterion 1.4.11)."""

BOX_LINE: Final = 130
"""So much lighter, percent, is what the style then makes darker for the line about a box."""

_SHEET: Final = """
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
QToolButton.tool:disabled {{ color: {FAINT}; }}
QWidget#side {{ background: {PAPER}; border-left: 1px solid {LINE}; }}
QFrame#notice {{ background: {ACCENT_SOFT}; border-bottom: 1px solid {LINE}; }}
QFrame#notice[error="true"] {{ background: {ERROR_GROUND}; }}
QFrame#notice[error="true"] QLabel {{ color: {ERROR_INK}; }}
QFrame#toolbar {{ background: {PAPER}; border: 1px solid {BORDER}; border-radius: 6px; }}
QLabel.heading {{ font-size: 12pt; font-weight: 600; color: {INK}; }}
QLabel.quiet {{ color: {QUIET}; }}
QWidget#totals {{ background: {PAPER}; border-top: 1px solid {LINE}; }}
QLineEdit {{ border: 1px solid {BORDER}; border-radius: 4px; padding: 4px 6px;
    background: {PAPER}; color: {INK}; selection-background-color: {ACCENT}; }}
QLineEdit:focus {{ border: 1px solid {ACCENT}; }}
QPlainTextEdit, QDialog QListWidget {{ border: 1px solid {BORDER}; border-radius: 4px;
    background: {PAPER}; color: {INK}; }}
QPlainTextEdit:focus, QDialog QListWidget:focus {{ border: 1px solid {ACCENT}; }}
QLineEdit.tight {{ padding: 1px 6px; }}
QLineEdit:disabled {{ background: {GROUND}; color: {QUIET}; }}
QPushButton {{ border: 1px solid {BORDER}; border-radius: 4px; padding: 6px 12px;
    background: {PAPER}; color: {INK}; }}
QPushButton:hover {{ border-color: {ACCENT}; }}
QPushButton:pressed {{ background: {ACCENT_SOFT}; }}
QPushButton:disabled {{ color: {FAINT}; }}
QPushButton.small, QToolButton.small {{ border: 1px solid {BORDER}; border-radius: 4px;
    padding: 4px 5px; background: {PAPER}; color: {INK}; }}
QToolButton.small:hover {{ border-color: {ACCENT}; }}
QToolButton.small:checked {{ border-color: {ACCENT}; background: {ACCENT_SOFT}; color: {ACCENT}; }}
QPushButton.small:disabled {{ color: {FAINT}; }}
QFrame#warned {{ background: {ERROR_GROUND}; border-radius: 4px; }}
QFrame#warned QLabel {{ color: {ERROR_INK}; }}
QFrame#offer {{ border: 1px solid {LINE}; border-radius: 6px; }}
QProgressBar {{ border: 1px solid {BORDER}; border-radius: 4px; background: {GROUND}; }}
QProgressBar::chunk {{ border-radius: 3px; background: {ACCENT}; }}
QLabel.serious {{ color: {ERROR_INK}; font-weight: 600; }}
QToolButton.small:disabled {{ color: {FAINT}; }}
QToolButton.small::menu-indicator {{ width: 0; image: none; }}
QTreeWidget#parts {{ border: 1px solid {LINE}; border-radius: 4px; }}
QFrame#problems {{ background: {PAPER}; border: 1px solid {BORDER}; }}
QFrame#problem {{ border: 0; border-bottom: 1px solid {LINE}; }}
QTreeView {{ border: 0; border-top: 1px solid {LINE}; background: {PAPER}; outline: 0; }}
QTreeView::item {{ padding: 2px 4px; }}
QTreeView::indicator:unchecked, QListView::indicator:unchecked {{ border: 1px solid {FAINT};
    border-radius: 2px; width: 11px; height: 11px; }}
QTreeView:focus {{ border-top: 1px solid {ACCENT}; }}
QTabWidget::pane {{ border: 0; }}
QTabBar {{ background: transparent; qproperty-drawBase: 0; }}
QTabBar::tab {{ border: 0; border-bottom: 2px solid transparent; padding: 5px 12px 4px;
    margin-left: 4px; color: {QUIET}; background: transparent; font-weight: 600; }}
QTabBar::tab:hover {{ color: {INK}; }}
QTabBar::tab:selected {{ color: {ACCENT}; border-bottom-color: {ACCENT}; }}
QTabBar::tab:focus {{ background: {ACCENT_SOFT}; }}
QTextBrowser {{ border: 0; background: {PAPER}; color: {INK}; }}
QHeaderView::section {{ background: {GROUND}; border: 0; border-bottom: 1px solid {LINE};
    padding: 4px 6px; color: {QUIET}; }}
QScrollArea, QWidget#forms {{ border: 0; background: {PAPER}; }}
QSplitter::handle {{ background: {LINE}; }}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QMessageBox {{ qproperty-icon: NoIcon; }}
QToolTip {{ color: {INK}; background: {PAPER}; border: 1px solid {LINE}; }}
QFrame#commands {{ background: {PAPER}; border: 1px solid {BORDER}; }}
QFrame#commands QListWidget {{ border: 0; background: {PAPER}; outline: 0; }}
QFrame#commands QListWidget::item {{ border-radius: 4px; }}
QFrame#commands QListWidget::item:selected {{ background: {ACCENT_SOFT}; }}
QLabel.strong {{ font-weight: 600; color: {INK}; }}
QLabel.strong:disabled, QLabel.quiet:disabled {{ color: {FAINT}; font-weight: 400; }}
QMenuBar {{ background: {GROUND}; color: {INK}; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {ACCENT_SOFT}; color: {INK}; }}
QMenu {{ background: {PAPER}; color: {INK}; border: 1px solid {BORDER}; padding: 4px; }}
QMenu::item {{ padding: 5px 26px 5px 22px; }}
QMenu::item:disabled {{ color: {FAINT}; }}
QMenu::separator {{ height: 1px; background: {LINE}; margin: 4px 6px; }}
QPushButton:focus {{ border: 2px solid {ACCENT}; padding: 5px 11px; }}
QPushButton.small:focus, QToolButton.small:focus {{ border: 2px solid {ACCENT};
    padding: 3px 4px; }}
QToolButton.tool:focus {{ border: 2px solid {ACCENT}; padding: 6px 5px; }}
QToolButton.stage:focus {{ background: {ACCENT_SOFT}; }}
"""

_now: Scheme = "light"


def scheme() -> Scheme:
    """The scheme in use."""
    return _now


def use(scheme: Scheme) -> None:
    """Put the colours of a scheme in place; what is drawn next has them."""
    global _now
    _now = scheme
    globals().update(_DARK if scheme == "dark" else _LIGHT)


def wanted(app: QApplication, choice: str) -> Scheme:
    """The scheme that a choice comes to: its own, or the system's."""
    if choice == "dark":
        return "dark"
    dark = app.styleHints().colorScheme() == Qt.ColorScheme.Dark
    return "dark" if choice != "light" and dark else "light"


def apply(app: QApplication) -> None:
    """Dress the whole application in the scheme in use."""
    if app.style() is None or app.style().objectName() != "fusion":
        app.setStyle("Fusion")
    palette = QPalette()
    role = QPalette.ColorRole
    for which, color in (
        (role.Window, GROUND), (role.Base, PAPER), (role.AlternateBase, GROUND),
        (role.Button, PAPER), (role.Text, INK), (role.WindowText, INK), (role.ButtonText, INK),
        (role.Highlight, ACCENT), (role.HighlightedText, PAPER), (role.PlaceholderText, QUIET),
        (role.ToolTipBase, PAPER), (role.ToolTipText, INK), (role.Accent, ACCENT),
        (role.Link, ACCENT), (role.BrightText, PAPER),
    ):  # fmt: skip
        palette.setColor(which, QColor(color))
    for which in (role.Text, role.WindowText, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(FAINT))
    if app.palette() != palette:
        app.setPalette(palette)
        # The style draws lines about boxes to tick and sliders in a darker shade of the window's
        # colour: on a dark window nobody would see them.
        boxed = QPalette(palette)
        boxed.setColor(role.Window, QColor(FAINT).lighter(BOX_LINE))
        for kind in ("QCheckBox", "QSlider"):
            app.setPalette(boxed, kind)  # type: ignore[arg-type]  # bytes are refused
    sheet = _SHEET.format(**{name: globals()[name] for name in _DARK})
    if app.styleSheet() != sheet:  # to set it again would have every widget dressed anew
        app.setStyleSheet(sheet)


@contextmanager
def on_paper() -> Iterator[None]:
    """The light scheme for as long as something is drawn that leaves the program."""
    before = _now
    use("light")
    try:
        yield
    finally:
        use(before)


def line_color(color: str) -> str:
    """A colour for a line on `PAPER`: itself, or lightened until it can be seen on a dark one.

    Black becomes the colour of ink there. The hue of others stays, so that the kinds of edges
    keep their colours in both schemes.
    """
    if _now == "light":
        return color
    if QColor(color) == QColor("#000000"):
        return INK
    shown = QColor(color)
    for step in range(1, 21):
        if contrast(shown, QColor(PAPER)) >= READABLE:
            break
        share = step / 20.0
        own = QColor(color)
        shown = QColor.fromRgbF(
            own.redF() + share * (1.0 - own.redF()),
            own.greenF() + share * (1.0 - own.greenF()),
            own.blueF() + share * (1.0 - own.blueF()),
        )
    return shown.name().upper()


def contrast(one: QColor, other: QColor) -> float:
    """Contrast of two colours, from 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


def veil(alpha: int) -> QColor:
    """The ground of the plan, let through: behind words that lie over lines or pictures."""
    color = QColor(PAPER)
    color.setAlpha(alpha)
    return color


def plan_font(size: float = 9.0, *, bold: bool = False) -> QFont:
    """The font of words in the plan."""
    font = QFont(QApplication.font())
    font.setPointSizeF(size)
    font.setBold(bold)
    return font


def _luminance(color: QColor) -> float:
    parts = (color.redF(), color.greenF(), color.blueF())
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b
