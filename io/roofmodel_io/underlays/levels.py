"""A picture in square tiles at several sizes, so that only what is seen is ever unpacked.

Vocabulary
----------
level
    Level 0 is the picture as it is; each level after it is half as large. A page of a PDF has
    levels below 0 too, each twice as large as the one after it.
tile
    A square of `TILE` by `TILE` pixels of one level, counted by column and row from the top left;
    those at the right and at the bottom are smaller.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from typing import Final, Protocol

from PIL import Image

from roofmodel_io.underlays.opening import damage_told
from roofmodel_io.underlays.strips import strips_of

TILE: Final = 512
RAW_LIMIT: Final = 8_000_000
"""Tiles of pictures with more pixels are kept packed: 8 million take 43 MB with their levels."""
_QUALITY: Final = 85


class Stopped(Exception):
    """Whoever watched the work had it stopped."""


class Tiled(Protocol):
    """What can be drawn tile by tile."""

    @property
    def finest(self) -> int:
        """The level with the smallest pixels."""

    @property
    def coarsest(self) -> int:
        """The level that is one tile."""

    def tile(self, level: int, column: int, row: int) -> Image.Image | None:
        """A tile in grey or colours; None where there is none."""


def coarsest_of(width: int, height: int) -> int:
    """The first level at which all is one tile.

    >>> coarsest_of(512, 100), coarsest_of(513, 100), coarsest_of(20000, 20000)
    (0, 1, 6)
    """
    level, longest = 0, max(width, height)
    while longest > TILE:
        longest = -(-longest // 2)
        level += 1
    return level


class Picture:
    """A picture's tiles; `width` and `height` are pixels as stored in the file."""

    def __init__(
        self, width: int, height: int, finest: int, tiles: dict[tuple[int, int, int], _Kept]
    ) -> None:
        self.width, self.height = width, height
        self.finest = finest
        self.coarsest = max(level for level, _, _ in tiles)
        self._tiles = tiles

    def tile(self, level: int, column: int, row: int) -> Image.Image | None:
        """A tile in grey or colours; None where there is none."""
        kept = self._tiles.get((level, column, row))
        if kept is None or isinstance(kept, Image.Image):
            return kept
        picture = Image.open(io.BytesIO(kept))
        picture.load()
        return picture

    def memory(self) -> int:
        """Bytes that the tiles take."""
        return sum(
            len(k) if isinstance(k, bytes) else k.width * k.height * (1 if k.mode == "L" else 4)
            for k in self._tiles.values()
        )


_Kept = bytes | Image.Image


def picture_of(
    data: bytes, name: str, watch: Callable[[float], bool] = lambda share: True
) -> Picture:
    """Read a picture to its end and cut it into tiles; FileError in one sentence if it cannot be.

    `watch` is told the share done and says whether to go on; Stopped if not. A PNG or JPEG of
    20,000 by 20,000 takes some seconds: not in the window's thread.
    """
    source = strips_of(data, name, TILE)
    raw = source.width * source.height <= RAW_LIMIT
    tiles: dict[tuple[int, int, int], _Kept] = {}

    def put(level: int, column: int, row: int, tile: Image.Image) -> None:
        tiles[level, column, row] = tile if raw else _packed(tile)

    def watched() -> Iterator[Image.Image]:
        done = 0
        for strip in source.strips:
            yield strip
            done += strip.height
            if not watch(done / source.height):
                raise Stopped

    strips, first = watched(), source.halvings
    last = first + coarsest_of(source.width, source.height)
    for level in range(first, last + 1):
        strips = _tiled(strips, level, put)
        if level < last:
            strips = _joined(strips)
    with damage_told(name):
        for _ in strips:
            pass
    return Picture(*source.stored, first, tiles)


def _tiled(
    strips: Iterator[Image.Image],
    level: int,
    put: Callable[[int, int, int, Image.Image], None],
) -> Iterator[Image.Image]:
    """Cut strips into tiles and hand them on, half as large."""
    for row, strip in enumerate(strips):
        for column, left in enumerate(range(0, strip.width, TILE)):
            right = min(left + TILE, strip.width)
            put(level, column, row, strip.crop((left, 0, right, strip.height)))
        yield strip.reduce(2)


def _joined(strips: Iterator[Image.Image]) -> Iterator[Image.Image]:
    """Two strips after another as one."""
    for upper in strips:
        lower = next(strips, None)
        if lower is None:
            yield upper
            return
        both = Image.new(upper.mode, (upper.width, upper.height + lower.height))
        both.paste(upper, (0, 0))
        both.paste(lower, (0, upper.height))
        yield both


def _packed(tile: Image.Image) -> bytes:
    stream = io.BytesIO()
    if tile.mode == "L":
        # Scanned plans: sharp black lines, which a PNG keeps and packs better.
        tile.save(stream, "PNG", compress_level=1)
    else:
        tile.save(stream, "JPEG", quality=_QUALITY, subsampling="4:2:0")
    return stream.getvalue()
