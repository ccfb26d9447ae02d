"""Where a picture lies in the world: world files and the tags of a GeoTIFF.

A world file holds six numbers, a line each: A, D, B, E, C, F. The middle of pixel (column, row),
counted from 0 at the top left, lies at x = A column + B row + C, y = D column + E row + F. It
does not say in which unit; a GeoTIFF does (keys 1024, 1025 and 3076 of its directory, OGC 19-008).
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Final, NamedTuple

from PIL import Image

from roofmodel.errors import FileError
from roofmodel_io.atomic import read_whole

SURVEY_FOOT_MM: Final = 1200 / 3937 * 1000
UNIT_MM: Final = {9001: 1000.0, 9002: 304.8, 9003: SURVEY_FOOT_MM}
"""Linear units by their number in the register that GeoTIFF refers to."""
_ENDINGS: Final = {
    ".png": (".pgw", ".pngw"), ".jpg": (".jgw", ".jpgw"), ".jpeg": (".jgw", ".jpegw"),
    ".tif": (".tfw", ".tifw"), ".tiff": (".tfw", ".tiffw"),
}  # fmt: skip
_SIMILAR: Final = 0.01
"""A picture stretched or skewed by more than a hundredth is no picture from straight above."""


class World(NamedTuple):
    """Its top left corner (x, y) and the length of a pixel, in the unit of the file; turn in
    degrees, counter-clockwise; `unit_mm` None where the file does not say."""

    corner: tuple[float, float]
    pixel: float
    turn: float
    unit_mm: float | None


def world_file_of(picture: Path) -> Path | None:
    """The world file beside a picture, if there is one."""
    endings = (*_ENDINGS.get(picture.suffix.lower(), ()), ".wld")
    for ending in endings:
        for written in (ending, ending.upper()):
            place = picture.with_suffix(written)
            if place.is_file():
                return place
    return None


def read_world_file(path: Path) -> World:
    """Read a world file; FileError in one sentence if it is none that can be used."""
    text = read_whole(path, 4096).decode("ascii", "replace")
    try:
        a, d, b, e, c, f = (float(word.replace(",", ".")) for word in text.split())
    except ValueError:
        raise FileError(
            f"The world file '{path.name}' does not hold six numbers; set the scale by hand."
        ) from None
    return _world((a, b, c - (a + b) / 2), (d, e, f - (d + e) / 2), path.name, None)


def world_of_tiff(picture: Image.Image, name: str) -> World | None:
    """What the tags of a GeoTIFF say, None if it has none; FileError if they cannot be used."""
    tags = getattr(picture, "tag_v2", None)
    if tags is None:
        return None
    try:
        if 34264 in tags:
            m = [float(v) for v in tags[34264]]
            x, y = (m[0], m[1], m[3]), (m[4], m[5], m[7])
        elif 33550 in tags and 33922 in tags:
            (sx, sy), (i, j, _, wx, wy) = tags[33550][:2], tags[33922][:5]
            x, y = (float(sx), 0.0, wx - i * sx), (0.0, -float(sy), wy + j * sy)
        else:
            return None
        directory = [int(v) for v in tags.get(34735, ())]
    except (TypeError, ValueError, IndexError):
        raise FileError(
            f"The place that '{name}' states cannot be read; set the scale by hand."
        ) from None
    keys = {directory[k]: directory[k + 3] for k in range(4, len(directory) - 3, 4)}
    if keys.get(1024) == 2:
        raise _in_degrees(name)
    if keys.get(1025) == 2:  # the numbers are of the middle of a pixel
        x = (x[0], x[1], x[2] - (x[0] + x[1]) / 2)
        y = (y[0], y[1], y[2] - (y[0] + y[1]) / 2)
    return _world(x, y, name, UNIT_MM.get(keys.get(3076, 0)))


def _world(
    x: tuple[float, float, float],
    y: tuple[float, float, float],
    name: str,
    unit_mm: float | None,
) -> World:
    """From x = x0 column + x1 row + x2 and the same for y, of the corner of a pixel."""
    pixel = math.hypot(x[0], y[0])
    if not all(map(math.isfinite, (*x, *y))) or not 1e-12 < pixel < 1e6:
        raise FileError(f"The scale that '{name}' states cannot be; set the scale by hand.")
    if pixel < 1e-4 and abs(x[2]) <= 360 and abs(y[2]) <= 90:
        raise _in_degrees(name)
    if max(abs(x[1] - y[0]), abs(y[1] + x[0])) > _SIMILAR * pixel:
        raise FileError(
            f"By '{name}' the picture is stretched or mirrored; set the scale by hand."
        )
    return World((x[2], y[2]), pixel, math.degrees(math.atan2(y[0], x[0])), unit_mm)


def _in_degrees(name: str) -> FileError:
    return FileError(f"'{name}' gives its place in degrees, not lengths; set the scale by hand.")
