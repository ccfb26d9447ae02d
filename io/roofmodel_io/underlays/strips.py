"""A picture read from top to bottom in strips, so that a large one needs little memory.

A PNG is unpacked row by row: each strip becomes a small PNG of its own, whose first row is the
last one before it, for rows are stored as differences from the row above. JPEG and TIFF are
decoded whole (Pillow knows no other way), 4 bytes a pixel, and cut.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator
from typing import Final, NamedTuple

from PIL import Image

from roofmodel_io.underlays.opening import damage_told, opened, plain

LARGE: Final = 25_000_000
"""Pixels from which a PNG is read in strips."""

_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_CHANNELS: Final = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}


class Strips(NamedTuple):
    """Size of the picture as stored and as its strips come, and how often it was halved."""

    stored: tuple[int, int]
    width: int
    height: int
    halvings: int
    strips: Iterator[Image.Image]


def strips_of(data: bytes, name: str, rows: int) -> Strips:
    """The picture in strips of `rows` rows, in grey or colours, from the top.

    Where memory does not suffice for a JPEG it comes at a half, a quarter or an eighth.
    FileError, in one sentence, at once or from the iterator.
    """
    picture = opened(data, name)
    width, height = picture.size
    if width * height > LARGE and _can_be_streamed(data):
        return Strips(picture.size, width, height, 0, _of_png(data, name, rows))
    for halvings in (0, 1, 2, 3) if picture.format == "JPEG" else (0,):
        if halvings:
            picture = opened(data, name)
            picture.draft(picture.mode, (width >> halvings, height >> halvings))
        try:
            with damage_told(name):
                picture.load()
        except Exception as error:
            if isinstance(error.__cause__, MemoryError) and halvings < 3:
                continue
            raise
        break
    return Strips((width, height), *picture.size, halvings, _cut(picture, name, rows))


def _cut(picture: Image.Image, name: str, rows: int) -> Iterator[Image.Image]:
    width, height = picture.size
    for top in range(0, height, rows):
        with damage_told(name):
            strip = picture.crop((0, top, width, min(top + rows, height)))
            strip.info = dict(picture.info)
            yield plain(strip)


def _can_be_streamed(data: bytes) -> bool:
    """Whether it is a PNG of 8 bits a channel whose rows come in order."""
    if not data.startswith(_SIGNATURE) or len(data) < 33:
        return False
    depth, _, packing, filtering, interlaced = data[24:29]
    return (depth, packing, filtering, interlaced) == (8, 0, 0, 0)


def _of_png(data: bytes, name: str, rows: int) -> Iterator[Image.Image]:
    width, height = struct.unpack(">II", data[16:24])
    row = width * _CHANNELS[data[25]]
    before = bytes(row)
    head = b"".join(_chunk(k, d) for k, d in _chunks(data, name) if k in {b"PLTE", b"tRNS"})
    body = _unpacked(data, name)
    done = 0
    pending = bytearray()
    while done < height:
        count = min(rows, height - done)
        wanted = count * (row + 1)
        with damage_told(name):
            while len(pending) < wanted:
                piece = next(body, None)
                if piece is None:
                    raise EOFError("fewer rows than stated")
                pending += piece
            strip = _small_png(data[24:29], width, head, before, bytes(pending[:wanted]))
            del pending[:wanted]
            with Image.open(io.BytesIO(strip), formats=("PNG",)) as picture:
                picture.load()
                info = dict(picture.info)
                whole = picture.crop((0, 1, width, count + 1))
            before = whole.crop((0, count - 1, width, count)).tobytes()
            whole.info = info
            yield plain(whole)
        done += count


def _small_png(form: bytes, width: int, head: bytes, before: bytes, rows: bytes) -> bytes:
    """A PNG of the row before, as it is, and of packed rows after it."""
    packer = zlib.compressobj(0)
    packed = packer.compress(b"\0" + before) + packer.compress(rows) + packer.flush()
    count = len(rows) // (len(before) + 1) + 1
    size = struct.pack(">II", width, count)
    pieces = ((b"IHDR", size + form), (b"IDAT", packed), (b"IEND", b""))
    first, *others = (_chunk(kind, content) for kind, content in pieces)
    return b"".join((_SIGNATURE, first, head, *others))


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(
        ">I", zlib.crc32(kind + content)
    )  # fmt: skip


def _chunks(data: bytes, name: str) -> Iterator[tuple[bytes, bytes]]:
    """Kind and content of each chunk; those of pixels without their content."""
    at = len(_SIGNATURE)
    while at + 12 <= len(data):
        (size,) = struct.unpack(">I", data[at : at + 4])
        kind = data[at + 4 : at + 8]
        if kind == b"IEND":
            return
        yield kind, b"" if kind == b"IDAT" else data[at + 8 : at + 8 + size]
        at += 12 + size


def _unpacked(data: bytes, name: str) -> Iterator[bytes]:
    """The filtered rows, some at a time."""
    unpacker = zlib.decompressobj()
    view = memoryview(data)
    at = len(_SIGNATURE)
    while at + 12 <= len(data):
        (size,) = struct.unpack(">I", view[at : at + 4])
        kind = bytes(view[at + 4 : at + 8])
        content = view[at + 8 : at + 8 + size]
        if kind == b"IEND":
            return
        if kind == b"IDAT":
            check = bytes(view[at + 8 + size : at + 12 + size])
            if zlib.crc32(content, zlib.crc32(kind)).to_bytes(4, "big") != check:
                raise ValueError("a chunk is damaged")
            rest: bytes | memoryview = content
            while rest:
                try:
                    yield unpacker.decompress(rest, 1 << 24)
                except zlib.error as error:
                    raise ValueError("the pixels cannot be unpacked") from error
                rest = unpacker.unconsumed_tail
        at += 12 + size
