"""An estimator at the window, with mouse and keys alone; every action is counted.

The house is invented, in feet: twelve corners, 6/12 throughout, gables in front and behind, a
gabled dormer and a chimney with a saddle on the slopes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from roofmodel.document import Project
from roofmodel.results import results_of
from roofmodel.surface import Surface
from roofmodel_ui.window import MainWindow
from tests.houses import GABLE, box, opening, project, section
from tests.ui.hands import FT, LEFT, settle, shown

Feet = tuple[float, float]
Place = Callable[[Feet], Feet]
"""Turns a point of the house, feet, into a place in plan, mm."""

CORNERS = (
    (0, 0), (18, 0), (18, -6), (34, -6), (34, 0), (60, 0),
    (60, 30), (44, 30), (44, 38), (20, 38), (20, 28), (0, 28),
)  # fmt: skip
GABLES = ((26, -6), (32, 38))
"""The middles of the two gable ends."""
DORMER = (46, 4)
"""The middle of the dormer's front wall."""
CHIMNEY = (16.5, 20)


def true_house() -> Project:
    """The house as it stands."""
    slopes = [0.5] * 12
    slopes[2] = slopes[8] = GABLE
    return project(
        section(CORNERS, slopes, section_id="s1", eave_ft=9),
        section(box(42, 4, 50, 14), (GABLE, 0.5, GABLE, 0.5), section_id="s2", eave_ft=12.5),
        opening(box(15, 18.5, 18, 21.5), saddle=True),
    )


def measures(surface: Surface) -> tuple[float, dict[str, float]]:
    """True area, sq ft, and length per kind of edge, ft."""
    lengths: dict[str, float] = defaultdict(float)
    for edge in surface.edges:
        lengths[str(edge.kind)] += edge.length / FT
    return sum(p.true_area for p in surface.planes) / FT**2, dict(lengths)


def check_against_the_truth(window: MainWindow) -> None:
    """Area within 0.5 %, each kind of edge within 0.5 % or 3 in."""
    area, lengths = measures(results_of(true_house()).surface)
    found_area, found = measures(window.session.results.surface)
    assert abs(found_area - area) <= 0.005 * area, (found_area, area)
    assert found.keys() == lengths.keys()
    for kind, length in lengths.items():
        assert abs(found[kind] - length) <= max(0.005 * length, 0.25), (kind, found[kind], length)


class Estimator:
    """Somebody at the window. An action is one click, one drag, or one entry with Enter."""

    def __init__(self, window: MainWindow) -> None:
        self.window, self.plan = window, window.plan
        self.actions = 0

    def command(self, name: str) -> None:
        """Press a button of the window, or its key."""
        action = self.window.actions_by_id[name]
        assert action.isEnabled(), name
        action.trigger()
        self.actions += 1
        settle()

    def click(self, at: tuple[float, float], *, add: bool = False) -> None:
        """Click a place in plan, mm."""
        pixel = self.plan.to_pixel(at).toPoint()
        assert self.plan.viewport().rect().contains(pixel), at
        held = Qt.KeyboardModifier.ControlModifier if add else Qt.KeyboardModifier.NoModifier
        QTest.mouseMove(self.plan.viewport(), pixel)
        QTest.mouseClick(self.plan.viewport(), LEFT, held, pixel)
        self.actions += 1
        settle()

    def closely(self, place: Place, feet: Feet) -> None:
        """Turn the wheel to see a place large, click it, and turn back."""
        self.turn_wheel(place(feet), 12)
        self.click(place(feet))
        self.turn_wheel(place(feet), -12)

    def turn_wheel(self, at: Feet, notches: int) -> None:
        """Turn the wheel over a place in plan, mm; away from the user makes it larger."""
        spot = self.plan.to_pixel(at)
        event = QWheelEvent(
            spot, self.plan.viewport().mapToGlobal(spot.toPoint()).toPointF(), QPoint(),
            QPoint(0, 120 * notches), Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(self.plan.viewport(), event)
        settle()

    def type(self, text: str) -> None:
        """Type over the plan, then Enter."""
        QTest.keyClicks(self.plan, text)
        QTest.keyClick(self.plan, Qt.Key.Key_Return)
        self.actions += 1
        settle()

    def enter(self, field: QLineEdit, text: str) -> None:
        """Fill in a field, then Enter."""
        shown(self.window, field)
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
        QTest.keyClick(field, Qt.Key.Key_Return)
        self.actions += 1
        settle()

    def load(self, path: Path) -> None:
        """Load a picture, a page or a drawing: the command, then the file."""
        before = len(self.window.session.project.underlays)
        assert self.window.files.load_picture_path(path)
        assert len(self.window.session.project.underlays) == before + 1
        self.actions += 2
        settle()

    def finish(self, place: Place) -> None:
        """Gables, dormer and chimney on the traced outline, then read the quantities."""
        self.command("select")
        self.click(place(GABLES[0]))
        self.click(place(GABLES[1]), add=True)
        self.command("make_gable")
        self.command("dormer")
        form = self.window.shape.new_dormer
        self.enter(form.width_field, "8")
        self.enter(form.face, "18 in")
        self.click(place(DORMER))
        self.command("opening")
        self.type("36 x 36")
        self.click(place(CHIMNEY))
        self.command("stage_4")
        area = next(a for _, item, a in self.window.quantities.rows() if item == "Roof area")
        assert area.endswith("sq ft")
