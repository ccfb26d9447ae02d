"""Pictures in tiles: the same pixels whichever way they are read, and small ones refused alike."""

from __future__ import annotations

import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from roofmodel.errors import FileError
from roofmodel_io.underlays import levels, opening, strips
from roofmodel_io.underlays.levels import TILE, Picture, Stopped, picture_of
from tests.io.underlays.files import noise, packed, png


def whole(picture: Picture, level: int = 0) -> Image.Image:
    """A level put together from its tiles."""
    rows: list[list[Image.Image]] = []
    while (first := picture.tile(level, 0, len(rows))) is not None:
        row = [first]
        while (tile := picture.tile(level, len(row), len(rows))) is not None:
            row.append(tile)
        rows.append(row)
    size = (sum(t.width for t in rows[0]), sum(r[0].height for r in rows))
    made = Image.new(rows[0][0].mode, size)
    for y, line in enumerate(rows):
        for x, tile in enumerate(line):
            made.paste(tile, (x * TILE, y * TILE))
    return made


def same(a: Image.Image, b: Image.Image) -> bool:
    return a.size == b.size and bool((np.asarray(a) == np.asarray(b)).all())


@pytest.mark.parametrize("size", [(1, 1), (512, 512), (513, 1025), (1300, 700)])
def test_tiles_are_the_picture(size: tuple[int, int]) -> None:
    source = noise(*size)
    picture = picture_of(packed(source, "PNG"), "a.png")
    assert (picture.width, picture.height) == size
    assert same(whole(picture), source)
    assert max(whole(picture, picture.coarsest).size) <= TILE
    assert picture.tile(picture.coarsest, 1, 0) is picture.tile(0, -1, 0) is None


def test_each_level_is_half_the_one_before() -> None:
    source = noise(2048, 1024)
    picture = picture_of(packed(source, "PNG"), "a.png")
    assert picture.coarsest == 2
    assert same(whole(picture, 1), source.reduce(2))
    assert same(whole(picture, 2), source.reduce(2).reduce(2))


@pytest.mark.parametrize("mode", ["L", "RGB", "P", "LA", "RGBA"])
def test_a_png_read_in_strips_is_the_same(mode: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """All five ways in which a PNG packs a row occur: Pillow chooses among them row by row."""
    data = png(700, 1200, mode)
    expected = whole(picture_of(data, "a.png"))
    monkeypatch.setattr(strips, "LARGE", 1000)
    assert same(whole(picture_of(data, "a.png")), expected)


@pytest.mark.parametrize("filtering", range(5))
def test_each_way_to_pack_a_row(filtering: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rows of differences, of the kind named, all 0 but a few: read in strips and at once."""
    width, height = 30, 1100
    rng = np.random.default_rng(7)
    rows = rng.integers(0, 256, (height, 3 * width), dtype=np.uint8)
    raw = b"".join(bytes([filtering]) + row.tobytes() for row in rows)
    chunks = ((b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)),
              (b"IDAT", zlib.compress(raw)), (b"IEND", b""))  # fmt: skip
    data = b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(c)) + k + c + struct.pack(">I", zlib.crc32(k + c)) for k, c in chunks
    )
    expected = whole(picture_of(data, "a.png"))
    monkeypatch.setattr(strips, "LARGE", 1000)
    assert same(whole(picture_of(data, "a.png")), expected)


@pytest.mark.parametrize("kind", ["JPEG", "TIFF"])
def test_jpeg_and_tiff(kind: str) -> None:
    data = packed(noise(600, 500), kind)
    picture = picture_of(data, "a")
    assert (picture.width, picture.height) == (600, 500)
    assert whole(picture).size == (600, 500)


def test_grey_of_16_bits_and_black_and_white() -> None:
    deep = Image.fromarray(np.full((20, 30), 0x8040, np.uint16))
    assert whole(picture_of(packed(deep, "PNG"), "a")).getpixel((0, 0)) == 0x80
    assert (
        whole(picture_of(packed(Image.new("1", (9, 9), 1), "TIFF"), "a")).getpixel((0, 0)) == 255
    )


def test_what_is_seen_through_is_white() -> None:
    clear = Image.new("RGBA", (10, 10), (255, 0, 0, 0))
    assert whole(picture_of(packed(clear, "PNG"), "a")).getpixel((5, 5)) == (255, 255, 255)


def test_large_pictures_are_kept_packed(monkeypatch: pytest.MonkeyPatch) -> None:
    data = packed(Image.linear_gradient("L").resize((1500, 1500)), "PNG")
    raw = picture_of(data, "a.png")
    monkeypatch.setattr(levels, "RAW_LIMIT", 1000)
    small = picture_of(data, "a.png")
    assert same(whole(small), whole(raw))  # grey loses nothing
    assert small.memory() < raw.memory()


def test_a_jpeg_that_memory_does_not_hold_comes_at_half(monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL.JpegImagePlugin import JpegImageFile

    load = JpegImageFile.load
    tried: list[tuple[int, int]] = []

    def short(self: JpegImageFile) -> object:
        tried.append(self.size)
        if self.width > 600:
            raise MemoryError
        return load(self)

    monkeypatch.setattr(JpegImageFile, "load", short)
    picture = picture_of(packed(noise(1200, 1000), "JPEG"), "a.jpg")
    assert tried[:2] == [(1200, 1000), (600, 500)]
    assert (picture.width, picture.height, picture.finest) == (1200, 1000, 1)
    assert whole(picture, 1).size == (600, 500)


def test_the_work_can_be_stopped() -> None:
    shares: list[float] = []

    def watch(share: float) -> bool:
        shares.append(share)
        return len(shares) < 2

    with pytest.raises(Stopped):
        picture_of(png(100, 2000), "a.png", watch)
    assert shares == [512 / 2000, 1024 / 2000]


@pytest.mark.parametrize("streamed", [False, True])
@pytest.mark.parametrize("keep", [0.01, 0.3, 0.9, 0.999])
def test_cut_short(streamed: bool, keep: float, monkeypatch: pytest.MonkeyPatch) -> None:
    if streamed:
        monkeypatch.setattr(strips, "LARGE", 1000)
    data = png(300, 900)
    with pytest.raises(FileError, match="damaged"):
        picture_of(data[: round(len(data) * keep)], "a.png")


@pytest.mark.parametrize("at", [0.2, 0.5, 0.8])
def test_a_flipped_byte_is_noticed(at: float, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(strips, "LARGE", 1000)
    data = bytearray(png(300, 900))
    data[round(len(data) * at)] ^= 0x55
    with pytest.raises(FileError, match="damaged"):
        picture_of(bytes(data), "a.png")


def test_too_many_pixels(monkeypatch: pytest.MonkeyPatch) -> None:
    huge = bytearray(png())
    huge[16:24] = struct.pack(">II", 90_000, 90_000)
    huge[29:33] = struct.pack(">I", zlib.crc32(huge[12:29]))
    with pytest.raises(FileError, match="smaller"):
        picture_of(bytes(huge), "a.png")
    assert opening.PIXEL_LIMIT >= 20_000**2


def test_measured_values_are_no_picture() -> None:
    heights = Image.fromarray(np.ones((5, 5), np.float32))
    with pytest.raises(FileError, match="colours"):
        picture_of(packed(heights, "TIFF"), "a.tif")
