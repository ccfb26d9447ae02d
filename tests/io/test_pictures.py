"""Pictures are checked before they are taken in."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from roofmodel.errors import FileError
from roofmodel_io import pictures
from roofmodel_io.pictures import check_picture, read_picture


def encoded(kind: str, width: int = 64, height: int = 48) -> bytes:
    stream = io.BytesIO()
    Image.effect_noise((width, height), 50).convert("RGB").save(stream, kind)
    return stream.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_png_and_jpeg_give_their_size(kind: str) -> None:
    assert check_picture(encoded(kind), "roof") == (64, 48)


@pytest.mark.parametrize(
    "data",
    [b"", b"not one", b"%PDF-1.7", encoded("GIF"), encoded("BMP"), b"\x89PNG\r\n\x1a\n"],
)
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(FileError, match=r"'roof\.png'") as caught:
        check_picture(data, "roof.png")
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_picture_cut_short_is_refused(kind: str) -> None:
    data = encoded(kind)
    with pytest.raises(FileError, match="damaged"):
        check_picture(data[: len(data) // 2], "roof")


def test_a_picture_with_too_many_pixels_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "_PIXEL_LIMIT", 100)
    with pytest.raises(FileError, match="smaller"):
        check_picture(encoded("PNG"), "roof")


def test_read_picture_from_disk(tmp_path: Path) -> None:
    path = tmp_path / "roof.png"
    path.write_bytes(encoded("PNG"))
    data, size = read_picture(path)
    assert data == path.read_bytes()
    assert size == (64, 48)
    with pytest.raises(FileError, match="no file"):
        read_picture(tmp_path / "none.png")
