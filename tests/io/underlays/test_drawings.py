"""DXF drawings as lines: what is drawn, in which unit, blocks within blocks, and what is wrong."""

from __future__ import annotations

import io
import math

import msgspec
import numpy as np
import pytest
from ezdxf.document import Drawing as Document

from roofmodel.document import Underlay
from roofmodel.errors import FileError
from roofmodel_io.underlays import drawings
from roofmodel_io.underlays.drawings import Drawing, drawing_of, placed_lines
from roofmodel_io.underlays.levels import Stopped
from tests.io.underlays.files import dxf, saved


def read(document: Document) -> Drawing:
    return drawing_of(saved(document), "plan.dxf")


def test_lines_and_polylines_in_order() -> None:
    document = dxf()
    space = document.modelspace()
    space.add_line((0, 0, 5), (10, 0, 7), dxfattribs={"layer": "WALLS"})
    space.add_lwpolyline([(0, 0), (0, 5), (3, 5)], close=True)
    space.add_polyline2d([(1, 1), (2, 2)])
    space.add_polyline3d([(1, 1, 1), (4, 1, 9)])
    drawing = read(document)
    assert drawing.lines.tolist() == [
        [[0, 0], [10, 0]],
        [[0, 0], [0, 5]], [[0, 5], [3, 5]], [[3, 5], [0, 0]],
        [[1, 1], [2, 2]],
        [[1, 1], [4, 1]],
    ]  # fmt: skip
    assert drawing.layers == ("WALLS", "0")
    assert drawing.layer_of.tolist() == [0, 1, 1, 1, 1, 1]
    assert (drawing.width, drawing.height, drawing.corner) == (10, 5, (0.0, 5.0))
    assert drawing.pixels()[0].tolist() == [[0, 5], [10, 5]]
    assert len(drawing.pixels(frozenset({"0"}))) == 1


@pytest.mark.parametrize("kind", ["circle", "arc", "bulge"])
def test_curves_are_chords_close_to_them(kind: str) -> None:
    document = dxf()
    space = document.modelspace()
    if kind == "circle":
        space.add_circle((100, 50), 40)
    elif kind == "arc":
        space.add_arc((100, 50), 40, 0, 180)
    else:
        space.add_lwpolyline([(140, 50, 1), (60, 50, 0)], format="xyb")  # half a circle
    lines = read(document).lines
    away = np.hypot(*(lines - [100, 50]).transpose(2, 0, 1))
    np.testing.assert_allclose(away, 40, rtol=3e-4)
    middles = lines.mean(1) - [100, 50]
    assert np.abs(np.hypot(*middles.T) - 40).max() < 40 * 1.1e-3
    turn = 2 * math.pi if kind == "circle" else math.pi
    assert np.hypot(*(lines[:, 1] - lines[:, 0]).T).sum() == pytest.approx(40 * turn, rel=1e-3)


def test_blocks_are_resolved() -> None:
    """A window of 2 x 1 in a wall block, inserted twice: moved and turned, then three in a row."""
    document = dxf()
    window = document.blocks.new("WINDOW")
    window.add_line((0, 0), (2, 0))
    wall = document.blocks.new("WALL")
    wall.add_line((0, 0), (10, 0), dxfattribs={"layer": "WALLS"})
    wall.add_blockref("WINDOW", (4, 1), dxfattribs={"layer": "GLASS"})
    document.modelspace().add_blockref("WALL", (100, 200), dxfattribs={"rotation": 90})
    row = document.modelspace().add_blockref("WINDOW", (0, 0))
    row.dxf.column_count, row.dxf.column_spacing = 3, 5
    drawing = read(document)
    expected = [
        [[100, 200], [100, 210]], [[99, 204], [99, 206]],
        [[0, 0], [2, 0]], [[5, 0], [7, 0]], [[10, 0], [12, 0]],
    ]  # fmt: skip
    np.testing.assert_allclose(drawing.lines, expected, atol=1e-9)
    # on layer 0 inside the block: takes the layer the block stands on
    assert [drawing.layers[k] for k in drawing.layer_of] == ["WALLS", "GLASS", "0", "0", "0"]


def test_hidden_layers_and_paper_do_not_count() -> None:
    document = dxf()
    document.layers.add("OFF").off()
    document.modelspace().add_line((0, 0), (1, 0), dxfattribs={"layer": "OFF"})
    document.paperspace().add_line((0, 0), (1, 0))
    with pytest.raises(FileError, match="no lines in model space"):
        read(document)


@pytest.mark.parametrize(("number", "mm"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000)])
def test_units(number: int, mm: float) -> None:
    document = dxf(number)
    document.modelspace().add_line((0, 0), (1, 0))
    assert read(document).unit_mm == pytest.approx(mm)


@pytest.mark.parametrize("number", [0, 11, 99])
def test_no_unit_that_helps(number: int) -> None:
    document = dxf(number)
    document.modelspace().add_line((0, 0), (1, 0))
    assert read(document).unit_mm is None


def test_old_and_binary_drawings() -> None:
    for version in ("R12", "R2000"):
        document = dxf(1, version)
        document.modelspace().add_line((0, 0), (10, 20))
        drawing = read(document)
        assert drawing.lines.tolist() == [[[0, 0], [10, 20]]]
        assert drawing.remark == ""
    stream = io.BytesIO()
    document.write(stream, fmt="bin")
    assert drawing_of(stream.getvalue(), "b.dxf").lines.tolist() == [[[0, 0], [10, 20]]]


def test_a_block_that_holds_itself_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    document = dxf()
    for name, other in (("A", "B"), ("B", "A")):
        block = document.blocks.new(name)
        block.add_line((0, 0), (1, 0))
        block.add_blockref(other, (1, 1))
    document.modelspace().add_blockref("A", (0, 0))
    assert len(read(document).lines) <= drawings.DEPTH_LIMIT


def test_blocks_in_blocks_without_number(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten of each in the next: a small file, ten million lines."""
    monkeypatch.setattr(drawings, "ENTITY_LIMIT", 5000)
    document = dxf()
    document.blocks.new("L0").add_line((0, 0), (1, 0))
    for level in range(1, 8):
        block = document.blocks.new(f"L{level}")
        for k in range(10):
            block.add_blockref(f"L{level - 1}", (k, level))
    document.modelspace().add_blockref("L7", (0, 0))
    with pytest.raises(FileError, match="too many parts"):
        read(document)


def test_too_many_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawings, "SEGMENT_LIMIT", 10)
    document = dxf()
    document.modelspace().add_circle((0, 0), 5)
    with pytest.raises(FileError, match="more than 10 lines"):
        read(document)


@pytest.mark.parametrize(
    "data", [b"", b"words", b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nx\n", b"\0" * 1000]
)
def test_damaged(data: bytes) -> None:
    with pytest.raises(FileError, match=r"'plan\.dxf'") as caught:
        drawing_of(data, "plan.dxf")
    assert str(caught.value).endswith(".")


def test_cut_short_is_mended_or_refused() -> None:
    document = dxf()
    for k in range(50):
        document.modelspace().add_line((k, 0), (k, 9))
    data = saved(document)
    for share in (0.2, 0.5, 0.8, 0.97):
        cut = data[: round(len(data) * share)]
        try:
            said = drawing_of(cut, "plan.dxf").remark
        except FileError as error:
            said = str(error)
        assert said.endswith(".")


def test_arrays_of_blocks_that_hold_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small file, a thousand million inserts: refused at once, and so is what is only passed
    over inside a block."""
    for rows in (32000, 100):
        document = dxf()
        block = document.blocks.new("E")
        for k in range(0 if rows == 32000 else 50):
            block.add_attdef(f"A{k}", (0, 0))
        space = document.modelspace()
        space.add_line((0, 0), (1, 1))
        row = space.add_blockref("E", (0, 0))
        row.dxf.row_count = row.dxf.column_count = rows
        row.dxf.row_spacing = row.dxf.column_spacing = 1
        with pytest.raises(FileError, match="too many parts") as caught:
            read(document)
        assert str(caught.value).count(".") == 2  # one sentence, and the name's own
    # inserts of a block that is not there are none
    document = dxf()
    document.modelspace().add_line((0, 0), (1, 1))
    document.modelspace().add_blockref("GONE", (0, 0))
    assert len(read(document).lines) == 1


def test_reading_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """It asks while it takes the file apart and while it goes through blocks."""
    monkeypatch.setattr(drawings, "ASK_EVERY", 20)
    document = dxf()
    for k in range(100):
        document.modelspace().add_line((k, 0), (k, 9))
    data = saved(document)
    asked: list[float] = []

    def go_on(share: float) -> bool:
        asked.append(share)
        return len(asked) < last

    last = 10**9
    drawing_of(data, "plan.dxf", go_on)
    whole = len(asked)
    assert whole > 50
    for last in (1, 3, whole - 2, whole):
        asked.clear()
        with pytest.raises(Stopped):
            drawing_of(data, "plan.dxf", go_on)
        assert len(asked) == last


def test_lines_in_plan() -> None:
    """Inches; the top left corner (0, 5) of the drawing lies at (1000, 0), a quarter turn left."""
    document = dxf()
    document.modelspace().add_line((0, 0), (10, 0))
    document.modelspace().add_line((0, 5), (0, 0), dxfattribs={"layer": "X"})
    drawing = read(document)
    underlay = Underlay("u1", "p.dxf", 10, 5, 25.4, (1000.0, 0.0), 90.0, kind="drawing")
    lines = placed_lines(underlay, drawing)
    expected = [[[1127, 0], [1127, 254]], [[1000, 0], [1127, 0]]]
    np.testing.assert_allclose(lines, expected, atol=1e-9)
    assert not lines.flags.writeable
    hidden = msgspec.structs.replace(underlay, hidden_layers=("X",))
    np.testing.assert_allclose(placed_lines(hidden, drawing), expected[:1], atol=1e-9)
