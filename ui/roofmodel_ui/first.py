"""The window's frame, shown at once: it stands where the window will stand until that is ready.

Putting the real window together takes longer than a person likes to look at nothing. This imports
nothing but Qt, so that it is there before the model is. It also lets the libraries of the geometry
wait until there is some: an empty window draws none.
"""

from __future__ import annotations

import builtins
import sys
from importlib.util import find_spec, module_from_spec
from types import ModuleType

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QWidget

from roofmodel_ui import settings, theme

HEAVY = ("numpy", "shapely")
_STRIP, _RAIL, _SIDE, _LINE = 56, 124, 330, 30
"""Heights and widths of what the window has at its sides, pixels."""


def bare_application() -> QApplication:
    """The one application, made if there is none, with its name and colours but undressed."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    app.setApplicationName("roofmodel")
    app.setOrganizationName("roofmodel")
    app.setApplicationDisplayName("Roofmodel")
    theme.use(theme.wanted(app, settings.THEME.get()))
    return app


class _Waiting(ModuleType):
    """A package that was imported and not used yet; `LazyLoader` would run it when a second
    module imports it. To be used first in the window's thread: nothing is locked meanwhile."""

    def __getattr__(self, name: str) -> object:
        spec = self.__spec__
        assert spec is not None
        assert spec.loader is not None
        self.__class__ = ModuleType  # type: ignore[assignment]
        self.__path__ = spec.submodule_search_locations or []
        spec.loader.exec_module(self)
        return getattr(self, name)


def import_plainly() -> None:
    """Take back what PySide does at every import: it reads the source of the module for words
    that switch names of Qt to other ones. Nothing here has them, and it takes a while."""
    plain = vars(builtins).get("__orig_import__")
    if plain is not None:
        builtins.__import__ = plain


def let_wait(*packages: str) -> None:
    """Have packages run when something of them is first used, whoever imports them before."""
    for name in packages:
        spec = None if name in sys.modules else find_spec(name)
        if spec is not None and spec.submodule_search_locations is not None:
            package = sys.modules[name] = module_from_spec(spec)
            del package.__path__  # to be asked for where a module of the package is imported
            package.__class__ = _Waiting


class Frame(QWidget):
    """The ground of the window, its panels empty."""

    def __init__(self) -> None:
        super().__init__()
        self.setWindowTitle("Roofmodel")
        self.setAccessibleName("Roofmodel is starting")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(1280, 800)
        kept = settings.GEOMETRY.get()
        if not kept.isEmpty():
            self.restoreGeometry(kept)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Strip, rail, plan, 3D and panel as plain grounds."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.GROUND))
        inner = self.rect().adjusted(_RAIL, _STRIP, -_SIDE, -_LINE)
        painter.fillRect(inner, QColor(theme.PAPER))
        painter.fillRect(
            QRect(inner.right() + 1, inner.top(), _SIDE, inner.height()), QColor(theme.PAPER)
        )
        painter.setPen(QColor(theme.QUIET))
        painter.drawText(inner, Qt.AlignmentFlag.AlignCenter, "Starting …")


def show_frame() -> Frame:
    """Show the frame now, painted; close it when the window is there."""
    import_plainly()
    let_wait(*HEAVY)
    app = bare_application()
    frame = Frame()
    frame.show()
    app.processEvents()
    return frame
