"""Files to trace, read from disk: told apart by content, placed by what they say, or refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image
from PIL.TiffImagePlugin import ImageFileDirectory_v2

from roofmodel.errors import FileError
from roofmodel_io.underlays.reading import read_underlay
from tests.io.underlays.files import dxf, noise, on_disk, packed, pdf, png, saved


def test_pictures_have_no_scale_of_their_own(tmp_path: Path) -> None:
    found = read_underlay(on_disk(tmp_path, "roof.png", png(300, 200)))
    assert (found.kind, found.unit_missing, found.remarks) == ("picture", False, ())
    u = found.underlay("roof.png")
    assert (u.width, u.height, u.scaled, u.mm_per_pixel) == (300, 200, False, 100.0)
    assert u.origin == pytest.approx((-15_000.0, 10_000.0))


def test_content_counts_not_the_name(tmp_path: Path) -> None:
    assert read_underlay(on_disk(tmp_path, "plan.png", pdf((612, 792)))).kind == "page"
    assert read_underlay(on_disk(tmp_path, "plan.pdf", png())).kind == "picture"
    document = dxf()
    document.modelspace().add_line((0, 0), (1, 1))
    assert read_underlay(on_disk(tmp_path, "plan.txt", saved(document))).kind == "drawing"


def test_pages(tmp_path: Path) -> None:
    found = read_underlay(on_disk(tmp_path, "plan.pdf", pdf((612, 792), (100.5, 200))))
    assert found.pages == ((612.0, 792.0), (100.5, 200.0))
    u = found.underlay("plan.pdf", 1)
    assert (u.kind, u.page, u.width, u.height, u.scaled) == ("page", 1, 101, 200, False)
    assert u.title == "plan.pdf, page 2"


def test_drawings_come_to_scale(tmp_path: Path) -> None:
    document = dxf(2)  # feet
    document.modelspace().add_line((100, 50), (140, 74))
    u = read_underlay(on_disk(tmp_path, "a.dxf", saved(document))).underlay("a.dxf")
    assert (u.kind, u.scaled, u.mm_per_pixel, u.width, u.height) == (
        "drawing",
        True,
        304.8,
        40,
        24,
    )
    assert u.world == pytest.approx((100 * 304.8, 74 * 304.8))
    document.header["$INSUNITS"] = 0
    found = read_underlay(on_disk(tmp_path, "b.dxf", saved(document)))
    assert found.unit_missing
    assert not found.underlay("b.dxf").scaled
    assert found.with_unit(1000.0).underlay("b.dxf").mm_per_pixel == 1000.0


@pytest.mark.parametrize(
    ("picture", "beside"),
    [("a.png", "a.pgw"), ("a.jpg", "a.jgw"), ("a.tif", "a.tfw"), ("a.tiff", "a.TFW"),
     ("a.jpeg", "a.wld")],
)  # fmt: skip
def test_world_files(tmp_path: Path, picture: str, beside: str) -> None:
    kind = {"png": "PNG", "jpg": "JPEG", "jpeg": "JPEG"}.get(picture.split(".")[1], "TIFF")
    path = on_disk(tmp_path, picture, packed(noise(40, 30), kind))
    on_disk(tmp_path, beside, b"0.25\r\n0\r\n0\r\n-0.25\r\n5000.125\r\n7999.875\r\n")
    found = read_underlay(path)
    assert found.unit_missing
    u = found.with_unit(304.8).underlay(picture)
    assert u.scaled
    assert u.mm_per_pixel == pytest.approx(76.2)
    assert u.world == pytest.approx((5000 * 304.8, 8000 * 304.8))
    assert u.turn == 0.0


def test_a_turned_world_file(tmp_path: Path) -> None:
    """Pixels of 0.5, turned 90 degrees: a column more is 0.5 north, a row more 0.5 east."""
    path = on_disk(tmp_path, "a.png", png())
    on_disk(tmp_path, "a.pgw", b"0 0.5 0.5 0 10 20")
    u = read_underlay(path).with_unit(1000.0).underlay("a.png")
    assert u.turn == pytest.approx(90.0)
    assert u.world == pytest.approx((9750.0, 19750.0))


@pytest.mark.parametrize(
    ("text", "says"),
    [(b"", "six numbers"), (b"1 2 3", "six numbers"), (b"a b c d e f", "six numbers"),
     (b"\0" * 90, "six numbers"), (b"0 0 0 0 0 0", "cannot be"), (b"nan 0 0 nan 0 0", "cannot be"),
     (b"1 0 0 1 0 0", "mirrored"), (b"1 0 0 -2 0 0", "stretched"),
     (b"1e-6 0 0 -1e-6 -105.2 39.7", "degrees")],
)  # fmt: skip
def test_a_world_file_that_cannot_be_used(tmp_path: Path, text: bytes, says: str) -> None:
    """The picture comes all the same, with a sentence."""
    path = on_disk(tmp_path, "a.png", png())
    on_disk(tmp_path, "a.pgw", text)
    found = read_underlay(path)
    assert found.world is None
    (remark,) = found.remarks
    assert says in remark
    assert remark.endswith(".")
    assert not found.underlay("a.png").scaled


def geotiff(*keys: int) -> bytes:
    tags = ImageFileDirectory_v2()
    tags[33550] = (0.5, 0.5, 0.0)
    tags[33922] = (0.0, 0.0, 0.0, 3000.0, 4000.0, 0.0)
    if keys:
        tags[34735] = (1, 1, 0, len(keys) // 4, *keys)
    for tag, kind in ((33550, 12), (33922, 12), (34735, 3)):
        tags.tagtype[tag] = kind
    return packed(Image.new("RGB", (20, 10)), "TIFF", tiffinfo=tags)


def test_a_geotiff_says_its_unit(tmp_path: Path) -> None:
    path = on_disk(tmp_path, "a.tif", geotiff(1024, 0, 1, 1, 1025, 0, 1, 1, 3076, 0, 1, 9003))
    u = read_underlay(path).underlay("a.tif")
    foot = 1200 / 3937 * 1000
    assert u.mm_per_pixel == pytest.approx(foot / 2)
    assert u.world == pytest.approx((3000 * foot, 4000 * foot))
    path = on_disk(tmp_path, "b.tif", geotiff(1024, 0, 1, 1, 1025, 0, 1, 2, 3076, 0, 1, 9001))
    assert read_underlay(path).underlay("b.tif").world == pytest.approx((2_999_750, 4_000_250))
    assert read_underlay(on_disk(tmp_path, "c.tif", geotiff())).unit_missing
    found = read_underlay(on_disk(tmp_path, "d.tif", geotiff(1024, 0, 1, 2)))
    assert "degrees" in found.remarks[0]


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("a.png", b"", "is empty"),
        ("a.png", b"words", "PNG, JPEG, TIFF, PDF"),
        ("a.png", png()[:200], "damaged"),
        ("a.png", b"\x89PNG\r\n\x1a\n", "no picture|damaged"),
        ("a.jpg", b"\xff\xd8\xff\xe0" + b"x" * 50, "no picture|damaged"),
        ("a.tif", b"II*\0" + b"\xff" * 50, "no picture|damaged"),
        ("a.pdf", b"%PDF-1.7 cut", "damaged"),
        ("a.pdf", pdf((612, 792), password="x"), "password"),
        ("a.dxf", b"0\nSECTION\n2\nENTITIES\n0\nLINE\n", "no lines|damaged"),
        ("a.zip", b"PK\x03\x04", "packed"),
        ("a.gif", packed(Image.new("P", (3, 3)), "GIF"), "choose a PNG"),
    ],
)
def test_one_sentence_each(tmp_path: Path, name: str, data: bytes, says: str) -> None:
    path = on_disk(tmp_path, name, data)
    with pytest.raises(FileError, match=says) as caught:
        read_underlay(path)
    text = str(caught.value)
    assert name in text
    assert text.endswith(".")
    assert "\n" not in text


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="no file"):
        read_underlay(tmp_path / "none.png")
    with pytest.raises(FileError, match="folder"):
        read_underlay(tmp_path)
