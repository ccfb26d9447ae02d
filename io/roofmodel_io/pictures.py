"""Pictures that lie under the plan: PNG and JPEG, checked before they are taken in."""

from __future__ import annotations

import io
import warnings
from pathlib import Path
from typing import Final, NamedTuple

from PIL import Image, UnidentifiedImageError

from roofmodel.errors import FileError
from roofmodel_io.atomic import read_whole

_BYTE_LIMIT: Final = 256 * 2**20
_PIXEL_LIMIT: Final = 200_000_000


class PictureSize(NamedTuple):
    """Width and height in pixels, as stored."""

    width: int
    height: int


def check_picture(data: bytes, name: str) -> PictureSize:
    """Size of a PNG or JPEG, read to its end; FileError in one sentence if it is none."""
    try:
        with warnings.catch_warnings():
            # The size is judged below, with a sentence; Pillow would only warn.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
                width, height = picture.size
                if width * height > _PIXEL_LIMIT:
                    raise FileError(
                        f"The picture '{name}' has {width} by {height} pixels, more than"
                        f" {_PIXEL_LIMIT // 10**6} million; make it smaller."
                    )
                picture.load()
    except Image.DecompressionBombError as error:
        raise FileError(f"The picture '{name}' is too large; make it smaller.") from error
    except UnidentifiedImageError as error:
        raise FileError(
            f"'{name}' is no picture that can be read; choose a PNG or JPEG file."
        ) from error
    except (OSError, ValueError, SyntaxError, EOFError) as error:
        raise FileError(
            f"The picture '{name}' is damaged or cut short; choose another copy."
        ) from error
    return PictureSize(width, height)


def read_picture(path: str | Path) -> tuple[bytes, PictureSize]:
    """The bytes and the size of a picture file; FileError in one sentence otherwise."""
    place = Path(path)
    data = read_whole(place, _BYTE_LIMIT)
    return data, check_picture(data, place.name)
