"""Pictures of the real window at two sizes, to be looked at: `screenshots.py FILE FOLDER`.

Run it under a display, for example `xvfb-run -s "-screen 0 1920x1080x24"`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QStandardPaths, QTimer

from roofmodel_io.project_file import read_project
from roofmodel_ui.app import application, grab
from roofmodel_ui.chrome import STAGES
from roofmodel_ui.window import MainWindow

SIZES = ((1280, 800), (1920, 1080))


def main(file: Path, folder: Path) -> int:
    folder.mkdir(parents=True, exist_ok=True)
    QStandardPaths.setTestModeEnabled(True)
    app = application()
    opened = read_project(file)
    window = MainWindow(opened.project)
    window.session.open(opened.project, file, opened.pictures)
    window.after_open()
    window.show()

    def take() -> None:
        for width, height in SIZES:
            window.resize(width, height)
            for stage in STAGES:
                window.show_stage(stage)
                planes = window.session.results.surface.planes
                window.session.select([planes[0].id] if planes and stage == "Shape" else [])
                for _ in range(3):
                    app.processEvents()
                window.zoom_to_fit()
                for _ in range(3):
                    app.processEvents()
                name = f"{width}x{height}_{stage.lower().replace(' ', '_')}.png"
                grab(window).save(str(folder / name))
        window.close()
        app.quit()

    window.view3d.drawn.connect(lambda: QTimer.singleShot(200, take))
    return app.exec()


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
