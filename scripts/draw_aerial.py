"""Draws an aerial picture of a project's roof as a camera straight above would see it: shingled
planes shaded by the sun, a cast shadow, grass, a drive, trees. For tests and the guide; the house
is invented.

Usage: python scripts/draw_aerial.py PROJECT PNG [MM_PER_PIXEL [TURN]]
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from roofmodel.document import Project
from roofmodel.results import results_of
from roofmodel.surface import Plane, Surface
from roofmodel_io.project_file import read_project

Array = NDArray[np.float64]
_SUN = np.array([-0.45, -0.55, 0.70])
_MARGIN_MM = 7000.0
_OVER = 2
"""Drawn at twice the size and scaled down, so that edges are soft as in a photograph."""


def aerial(
    project: Project, mm_per_pixel: float = 40.0, turn: float = 0.0, seed: int = 7
) -> tuple[Image.Image, tuple[float, float]]:
    """The picture, and the plan point (mm) of its top left corner in the turned plan.

    `turn` turns the house in the picture, degrees counter-clockwise about the datum.
    """
    surface = results_of(project).surface
    rnd = np.random.default_rng(seed)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    rotation = np.array([[c, s], [-s, c]])
    rings = [(p, p.outline[:, :2] @ rotation, p.outline[:, 2]) for p in surface.planes]
    every = np.vstack([xy for _, xy, _ in rings])
    low, high = every.min(axis=0) - _MARGIN_MM, every.max(axis=0) + _MARGIN_MM
    scale = _OVER / mm_per_pixel
    width, height = (int(v) for v in np.ceil((high - low) * scale))
    picture = _ground(width, height, rnd)
    draw = ImageDraw.Draw(picture)

    def pixels(xy: Array) -> list[tuple[float, float]]:
        return [((x - low[0]) * scale, (high[1] - y) * scale) for x, y in xy.tolist()]

    middle = every.mean(axis=0)
    drive = np.array([[middle[0] + 3000, low[1]], [middle[0] + 8500, low[1]],
                      [middle[0] + 8500, middle[1]], [middle[0] + 3000, middle[1]]])  # fmt: skip
    draw.polygon(pixels(drive), fill=(150, 148, 144))
    shade = Image.new("L", picture.size, 0)
    cast = ImageDraw.Draw(shade)
    for _, xy, z in rings:
        away = xy - np.outer(z, _SUN[:2] / _SUN[2])
        cast.polygon(pixels(away), fill=120)
    shade = shade.filter(ImageFilter.GaussianBlur(2.0 * _OVER))
    picture = Image.composite(Image.new("RGB", picture.size, (28, 34, 30)), picture, shade)
    for plane, xy, _ in sorted(rings, key=lambda r: float(r[2].mean())):
        _draw_plane(picture, plane, xy, pixels, rotation, scale, rnd)
    _openings(picture, project, surface, pixels, rotation)
    _trees(picture, low, high, every, pixels, rnd)
    small = picture.resize((width // _OVER, height // _OVER), Image.Resampling.LANCZOS)
    noise = rnd.normal(0.0, 4.0, (small.height, small.width, 1))
    grainy = np.clip(np.asarray(small, float) + noise, 0, 255).astype(np.uint8)
    return Image.fromarray(grainy), (float(low[0]), float(high[1]))


def _ground(width: int, height: int, rnd: np.random.Generator) -> Image.Image:
    """Grass in patches."""
    patches = rnd.random((height // 40 + 2, width // 40 + 2))
    soft = Image.fromarray((patches * 255).astype(np.uint8)).resize(
        (width, height), Image.Resampling.BICUBIC
    )
    t = np.asarray(soft, float)[:, :, None] / 255.0
    grass = np.array([86, 112, 62]) * (1 - t) + np.array([120, 136, 82]) * t
    return Image.fromarray(np.clip(grass, 0, 255).astype(np.uint8))


def _draw_plane(
    picture: Image.Image,
    plane: Plane,
    xy: Array,
    pixels: object,
    rotation: Array,
    scale: float,
    rnd: np.random.Generator,
) -> None:
    """A plane in the tone its slope has in the sun, with courses of shingles across it."""
    angle = math.radians(plane.bearing)
    down = np.array([math.sin(angle), math.cos(angle)]) @ rotation
    normal = np.array([*(down * plane.slope), 1.0]) / math.hypot(1.0, plane.slope)
    light = 0.45 + 0.6 * max(0.0, float(normal @ (_SUN / np.linalg.norm(_SUN))))
    tone = np.array([118, 108, 102]) * light
    points = pixels(xy)  # type: ignore[operator]
    mask = Image.new("L", picture.size, 0)
    draw = ImageDraw.Draw(mask)
    draw.polygon(points, fill=255)
    for hole in plane.holes:
        draw.polygon(pixels(hole[:, :2] @ rotation), fill=0)  # type: ignore[operator]
    cover = Image.new("RGB", picture.size, tuple(int(v) for v in tone))
    lines = ImageDraw.Draw(cover)
    across = np.array([-down[1], down[0]])
    x0, y0 = np.min(points, axis=0)
    x1, y1 = np.max(points, axis=0)
    reach = math.hypot(x1 - x0, y1 - y0)
    step = 300.0 * scale
    centre = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    flip = np.array([1.0, -1.0])
    for k in range(int(reach / step) + 2):
        at = centre + (k * step - reach / 2) * down * flip
        darker = tuple(int(v * (0.86 + 0.06 * rnd.random())) for v in tone)
        a, b = at - across * flip * reach, at + across * flip * reach
        lines.line([tuple(a), tuple(b)], fill=darker, width=_OVER)
    picture.paste(cover, mask=mask)


def _openings(
    picture: Image.Image, project: Project, surface: Surface, pixels: object, rotation: Array
) -> None:
    draw = ImageDraw.Draw(picture)
    colours = {"chimney": (142, 84, 66), "skylight": (176, 196, 208), "pipe": (70, 70, 72)}
    for opening in project.openings():
        corners = np.array(opening.corners) @ rotation
        draw.polygon(pixels(corners), fill=colours[opening.kind], outline=(52, 44, 40))  # type: ignore[operator]


def _trees(
    picture: Image.Image,
    low: Array,
    high: Array,
    house: Array,
    pixels: object,
    rnd: np.random.Generator,
) -> None:
    """Trees that stand well clear of the roof."""
    draw = ImageDraw.Draw(picture)
    inner, outer = house.min(axis=0) - 4500.0, house.max(axis=0) + 4500.0
    for _ in range(14):
        at = low + (high - low) * rnd.random(2)
        if np.all(at > inner) and np.all(at < outer):
            continue
        for _ in range(26):
            spot = at + rnd.normal(0.0, 900.0, 2)
            radius = rnd.uniform(350.0, 900.0)
            (x0, y0), (x1, y1) = pixels(np.array([spot - radius, spot + radius]))  # type: ignore[operator]
            green = int(rnd.uniform(52, 92))
            draw.ellipse([x0, y1, x1, y0], fill=(green - 22, green, green - 30))


def main() -> None:
    """Draw one picture."""
    project = read_project(Path(sys.argv[1])).project
    scale = float(sys.argv[3]) if len(sys.argv) > 3 else 40.0
    turn = float(sys.argv[4]) if len(sys.argv) > 4 else 0.0
    picture, _ = aerial(project, scale, turn)
    picture.save(sys.argv[2])


if __name__ == "__main__":
    main()
