"""The same house from an aerial picture, a PDF plan, a DXF drawing and a tape list: at most sixty
actions each, and right within half a per cent."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.filemanagement import new as new_drawing
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from reportlab.lib.units import inch
from reportlab.pdfgen.canvas import Canvas

from roofmodel_ui.measurements import Measurements
from roofmodel_ui.window import MainWindow
from scripts.draw_aerial import aerial
from tests.ui.estimator import CORNERS, Estimator, Place, check_against_the_truth, true_house
from tests.ui.hands import FT, settle

MOST = 60
MM_PER_PIXEL = 30.0


@pytest.fixture
def user(window: MainWindow) -> Estimator:
    window.resize(1920, 1080)
    settle()
    return Estimator(window)


def test_from_an_aerial_picture(user: Estimator, tmp_path: Path) -> None:
    picture, (left, top) = aerial(true_house(), MM_PER_PIXEL)
    path = tmp_path / "from above.png"
    picture.save(path)
    user.load(path)

    def place(feet: tuple[float, float]) -> tuple[float, float]:
        """Where a point of the house is seen in the picture, plan mm."""
        pixel = ((feet[0] * FT - left) / MM_PER_PIXEL, (top - feet[1] * FT) / MM_PER_PIXEL)
        x, y = user.window.session.project.underlays[0].to_plan(pixel)
        return float(x), float(y)

    user.command("scale")
    user.closely(place, (0, 0))
    user.closely(place, (60, 0))
    user.type("60'")
    trace(user, place)
    user.finish(place)
    check_against_the_truth(user.window)
    assert user.actions <= MOST, user.actions


def test_from_a_pdf_plan(user: Estimator, tmp_path: Path) -> None:
    """1/8 in to the foot on a letter page, lying."""
    path = tmp_path / "plan.pdf"
    page = Canvas(str(path), pagesize=(11 * inch, 8.5 * inch))
    x0, y0, scale = 1.5 * inch, 2.5 * inch, inch / 8
    points = [(x0 + x * scale, y0 + y * scale) for x, y in CORNERS]
    outline = page.beginPath()
    outline.moveTo(*points[0])
    for point in points[1:]:
        outline.lineTo(*point)
    outline.close()
    page.drawPath(outline)
    page.save()
    user.load(path)

    def place(feet: tuple[float, float]) -> tuple[float, float]:
        pixel = (x0 + feet[0] * scale, 8.5 * inch - y0 - feet[1] * scale)
        x, y = user.window.session.project.underlays[0].to_plan(pixel)
        return float(x), float(y)

    user.command("scale")
    user.closely(place, (0, 0))
    user.closely(place, (60, 0))
    user.type("60'")
    trace(user, place)
    user.finish(place)
    check_against_the_truth(user.window)
    assert user.actions <= MOST, user.actions


def test_from_a_drawing(user: Estimator, tmp_path: Path) -> None:
    """Inches; the corners snap to the drawing's lines, so the house is right to the last digit."""
    path = tmp_path / "plan.dxf"
    drawing = new_drawing("R2010", units=1)
    drawing.modelspace().add_lwpolyline([(x * 12, y * 12) for x, y in CORNERS], close=True)
    drawing.saveas(path)
    user.load(path)
    underlay = user.window.session.project.underlays[0]
    low = min(y for _, y in CORNERS), max(y for _, y in CORNERS)

    def place(feet: tuple[float, float]) -> tuple[float, float]:
        x, y = underlay.to_plan((feet[0] * 12.0, (low[1] - feet[1]) * 12.0))
        return float(x), float(y)

    user.command("fit")
    trace(user, place)
    user.finish(place)
    check_against_the_truth(user.window)
    assert user.actions <= MOST, user.actions


def test_from_a_tape_list(user: Estimator) -> None:
    sides = ["18' E", "R 6'", "L 16'", "L 6'", "R 26'", "L 30'", "L 16'", "R 8'", "L 24'", "L 10'",
             "R 20'", "L 28'"]  # fmt: skip
    user.command("measurements")
    dialog = user.window.findChild(Measurements)
    assert isinstance(dialog, Measurements)
    dialog.text.setFocus()
    for side in sides:
        QTest.keyClicks(dialog.text, side)
        QTest.keyClick(dialog.text, Qt.Key.Key_Return)
        user.actions += 1
    dialog.draw.click()
    user.actions += 1
    settle()
    first = user.window.session.project.sections()[0].rings[0].corners[0]

    def place(feet: tuple[float, float]) -> tuple[float, float]:
        return first[0] + feet[0] * FT, first[1] + feet[1] * FT

    user.finish(place)
    check_against_the_truth(user.window)
    assert user.actions <= MOST, user.actions


def trace(user: Estimator, place: Place) -> None:
    """Click the twelve corners, then the first again."""
    user.command("outline")
    for corner in (*CORNERS, CORNERS[0]):
        user.click(place(corner))
    assert len(user.window.session.project.sections()) == 1
