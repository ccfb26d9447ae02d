"""Takes the pictures of docs/guide.md from the running program: `guide_pictures.py [FOLDER]`.

The invented house of the estimator's test is drawn as an aerial picture, then traced by mouse and
keys in the real window. Run it under a display, for example with xvfb-run.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from PIL import Image
from PySide6.QtCore import QSize, QStandardPaths, Qt, QTimer
from PySide6.QtWidgets import QApplication

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from roofmodel_io.defaults import default_project
from roofmodel_ui.app import application, grab
from roofmodel_ui.window import MainWindow
from scripts.draw_aerial import aerial
from tests.ui.estimator import CHIMNEY, CORNERS, DORMER, FT, GABLES, Estimator, true_house

ROOT = Path(__file__).resolve().parent.parent
MM_PER_PIXEL = 30.0
SIZE = (1280, 800)
SHOWN = 1000
"""Width of the pictures in the guide, pixels."""


def take(window: MainWindow, folder: Path) -> None:
    """Do the job step by step, with a picture after each."""

    def shot(name: str) -> None:
        for _ in range(5):
            QApplication.processEvents()
        image = grab(window)
        small = image.scaled(
            QSize(SHOWN, SHOWN), Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )  # fmt: skip
        path = folder / f"guide_{name}.png"
        small.save(str(path))
        Image.open(path).convert("RGB").quantize(256).save(path, optimize=True)

    window.actions_by_id["theme_light"].trigger()
    user = Estimator(window)
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "from above.png"
        picture, (left, top) = aerial(true_house(), MM_PER_PIXEL)
        picture.save(path)
        user.load(path)
    spot = _places(window, left, top)
    window.zoom_to_fit()
    shot("1_picture")
    user.command("scale")
    user.closely(spot, (0, 0))
    user.closely(spot, (60, 0))
    user.type("60'")
    window.zoom_to_fit()
    shot("2_scale")
    user.command("outline")
    for corner in CORNERS[:8]:
        user.closely(spot, corner)
    window.zoom_to_fit()
    shot("3_outline")
    for corner in (*CORNERS[8:], CORNERS[0]):
        user.closely(spot, corner)
    window.zoom_to_fit()
    shot("4_roof")
    user.command("select")
    user.click(spot(GABLES[0]))
    user.click(spot(GABLES[1]), add=True)
    user.command("make_gable")
    shot("5_gables")
    user.command("dormer")
    user.enter(window.shape.new_dormer.width_field, "8")
    user.enter(window.shape.new_dormer.face, "18 in")
    user.click(spot(DORMER))
    shot("6_dormer")
    user.command("opening")
    user.type("36 x 36")
    user.click(spot(CHIMNEY))
    shot("7_chimney")
    user.command("select")
    window.session.select([])
    for name, stage in (("8_cover", "Cover"), ("9_count", "Count"), ("10_hand_over", "Hand over")):
        window.show_stage(stage)
        window.zoom_to_fit()
        shot(name)


def _places(
    window: MainWindow, left: float, top: float
) -> Callable[[tuple[float, float]], tuple[float, float]]:
    """From feet on the house to where the picture shows it, plan mm."""

    def place(feet: tuple[float, float]) -> tuple[float, float]:
        pixel = ((feet[0] * FT - left) / MM_PER_PIXEL, (top - feet[1] * FT) / MM_PER_PIXEL)
        x, y = window.session.project.underlays[0].to_plan(pixel)
        return float(x), float(y)

    return place


def main(folder: Path) -> int:
    """Take all pictures into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    QStandardPaths.setTestModeEnabled(True)
    app = application()
    window = MainWindow(default_project())
    window.show()
    window.resize(*SIZE)

    def go() -> None:
        try:
            take(window, folder)
        finally:
            window.session.undo_stack.setClean()
            window.close()
            app.quit()

    window.view3d.drawn.connect(lambda: QTimer.singleShot(300, go))
    return app.exec()


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "docs" / "pictures"))
