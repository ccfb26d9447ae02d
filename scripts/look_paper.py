"""Pictures of all that goes on paper: `look_paper.py FOLDER [SAMPLE …] [--paper NAME] [--quick]`.

For each sample and each of the two systems the shop package and the field sheet are written into
FOLDER, each page of a PDF is drawn to a PNG, and all DXF drawings are drawn at the size they have
on paper and put side by side on contact sheets. `--quick` leaves out the DXF drawings. Words
choose samples with one of them in their names.
"""

from __future__ import annotations

import argparse
import math
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import cast

import matplotlib as mpl
import matplotlib.pyplot as plt
import pypdfium2
from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.matplotlib import MatplotlibBackend
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.bbox import extents
from ezdxf.filemanagement import readfile
from PIL import Image, ImageDraw

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from roofmodel.document.cover_edits import cover_job
from roofmodel.results import results_of
from roofmodel.spread import spread_of
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.field_sheet import FIELD_NAME, field_pdf
from roofmodel_io.pdf.paper import PAPERS, Paper
from roofmodel_io.project_file import read_project
from roofmodel_io.shop_package import write_shop_package
from roofmodel_ui.shop_commands import picture_of

SAMPLES = Path(__file__).resolve().parent.parent / "sample_projects"
PER_MM = 3.2
"""Pixels to a millimetre of paper: capitals of 7 points are some 6 pixels high."""
SHEET = (1400, 836)
ROW = 18


def main(folder: Path, samples: Sequence[str], paper: Paper, quick: bool) -> None:
    """Write and draw everything."""
    mpl.use("Agg")
    for path in sorted(SAMPLES.glob("*.roof")):
        if samples and not any(s in path.stem for s in samples):
            continue
        opened = read_project(path).project
        for system in built_in_systems():
            name = f"{path.stem} {system.id}"
            print(name, flush=True)
            results = results_of(cover_job(opened, system.id))
            place, pictures = folder / "packages" / name, folder / name
            for old in (place, pictures):
                shutil.rmtree(old, ignore_errors=True)
            place.parent.mkdir(parents=True, exist_ok=True)
            pictures.mkdir()
            done = write_shop_package(place, results, lambda r=results: picture_of(r), paper=paper)
            field = pictures / FIELD_NAME
            field.write_bytes(field_pdf(results, spread_of(results.project), paper=paper))
            for pdf in (*place.glob("*.pdf"), field):
                draw_pages(pdf, pictures)
            if not quick:
                files = [place / f for f in done.files if f.endswith(".dxf")]
                drawn = [(str(f.relative_to(place)), drawing(f)) for f in files]
                for number, sheet in enumerate(contact_sheets(drawn), 1):
                    sheet.save(pictures / f"drawings {number:02}.png")


def draw_pages(pdf: Path, folder: Path) -> None:
    """Every page as a picture of its own."""
    document = pypdfium2.PdfDocument(pdf)
    for number, page in enumerate(document, 1):
        picture = page.render(scale=PER_MM * 25.4 / 72.0 * 1.4).to_pil()
        picture.save(folder / f"{pdf.stem} {number:02}.png")
    document.close()


def drawing(path: Path) -> Image.Image:
    """A DXF drawing, black on white, at the size it has on paper."""
    document = readfile(path)
    header = document.header
    box = extents(document.modelspace())
    low, high = box.extmin, box.extmax
    mm = 1.0 if header["$INSUNITS"] == 4 else 25.4
    scale = header["$LTSCALE"] if path.stem != "roof_plan" else 64.0
    wide, high_ = ((high[k] - low[k]) * mm / scale + 8.0 for k in (0, 1))
    figure = plt.figure(figsize=(wide / 25.4, high_ / 25.4))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    config = Configuration(
        background_policy=BackgroundPolicy.WHITE, color_policy=ColorPolicy.COLOR
    )
    backend = MatplotlibBackend(axes, adjust_figure=False)
    Frontend(RenderContext(document), backend, config=config).draw_layout(document.modelspace())
    pad = 4.0 * scale / mm
    axes.set_aspect("equal", adjustable="box")
    axes.set_xlim(low[0] - pad, high[0] + pad)
    axes.set_ylim(low[1] - pad, high[1] + pad)
    figure.set_dpi(PER_MM * 25.4)
    canvas = figure.canvas
    canvas.draw()
    picture = Image.frombytes(
        "RGBA",
        canvas.get_width_height(),
        bytes(canvas.buffer_rgba()),  # type: ignore[attr-defined]
    ).convert("RGB")
    plt.close(figure)
    return picture


def contact_sheets(drawn: Sequence[tuple[str, Image.Image]]) -> list[Image.Image]:
    """Pictures side by side in rows, each with its name below it."""
    sheets: list[Image.Image] = []
    x = y = row = 0
    for name, picture in drawn:
        share = min(1.0, SHEET[0] / picture.width, (SHEET[1] - ROW) / picture.height)
        if share < 1.0:
            size = math.floor(picture.width * share), math.floor(picture.height * share)
            picture = picture.resize(size, Image.Resampling.LANCZOS)
        if x and x + picture.width > SHEET[0]:
            x, y, row = 0, y + row, 0
        if not sheets or y + picture.height + ROW > SHEET[1]:
            sheets.append(Image.new("RGB", SHEET, "#C8D4DC"))
            x = y = row = 0
        sheets[-1].paste(picture, (x, y))
        ImageDraw.Draw(sheets[-1]).text((x + 4, y + picture.height + 2), name, fill="#A00000")
        x += picture.width + 6
        row = max(row, picture.height + ROW)
    return sheets


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("samples", nargs="*")
    parser.add_argument("--paper", choices=PAPERS, default="letter")
    parser.add_argument("--quick", action="store_true", help="no DXF drawings")
    given = parser.parse_args()
    main(given.folder, given.samples, cast("Paper", given.paper), given.quick)
