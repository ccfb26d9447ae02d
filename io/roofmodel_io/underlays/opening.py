"""Pictures opened safely: what they are, how large, and plain sentences for what is wrong."""

from __future__ import annotations

import contextlib
import io
import warnings
from collections.abc import Iterator
from typing import Final

from PIL import Image, UnidentifiedImageError

from roofmodel.errors import FileError

PIXEL_LIMIT: Final = 600_000_000
"""20,000 by 20,000 and half as much again."""
SIDE_LIMIT: Final = 100_000
FORMATS: Final = ("PNG", "JPEG", "TIFF")

# Sizes are judged below, with a sentence; Pillow's own limit would refuse large aerial pictures.
Image.MAX_IMAGE_PIXELS = None


def opened(data: bytes, name: str, limit: int = PIXEL_LIMIT) -> Image.Image:
    """The picture, its pixels not read yet; FileError in one sentence if it is none."""
    with damage_told(name):
        picture = Image.open(io.BytesIO(data), formats=FORMATS)
    width, height = picture.size
    if width < 1 or height < 1:
        raise FileError(f"The picture '{name}' is empty; choose another.")
    if width * height > limit or max(width, height) > SIDE_LIMIT:
        raise FileError(
            f"The picture '{name}' has {width} by {height} pixels, more than"
            f" {limit // 10**6} million or too long; make it smaller."
        )
    if picture.mode in {"F", "I"}:
        raise FileError(
            f"'{name}' holds measured values, not colours; choose a picture of the house."
        )
    return picture


@contextlib.contextmanager
def damage_told(name: str) -> Iterator[None]:
    """Whatever a reader of pictures trips over, as one sentence."""
    try:
        with warnings.catch_warnings():
            # Half-broken metadata is no matter here: only the pixels are used.
            warnings.simplefilter("ignore")
            yield
    except UnidentifiedImageError as error:
        raise FileError(
            f"'{name}' is no picture that can be read; choose a PNG, JPEG or TIFF file."
        ) from error
    except MemoryError as error:
        raise FileError(
            f"The picture '{name}' needs more memory than there is; make it smaller."
        ) from error
    except (OSError, ValueError, SyntaxError, EOFError, KeyError, TypeError, IndexError) as error:
        raise FileError(
            f"The picture '{name}' is damaged or cut short; choose another copy."
        ) from error


def plain(picture: Image.Image) -> Image.Image:
    """The picture in grey ("L") or in colours ("RGB"); what is seen through lies on white."""
    mode = picture.mode
    if mode in {"L", "RGB"} and "transparency" not in picture.info:
        return picture
    if mode == "1":
        return picture.convert("L")
    if mode.startswith("I;16"):
        return picture.point(lambda v: v / 256).convert("L")  # the upper of two bytes
    if mode in {"LA", "La", "PA", "RGBA", "RGBa"} or "transparency" in picture.info:
        seen = picture.convert("RGBA")
        white = Image.new("RGBA", seen.size, "white")
        return Image.alpha_composite(white, seen).convert("RGB")
    return picture.convert("RGB")
