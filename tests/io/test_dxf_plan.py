"""The DXF roof plan, read back by ezdxf."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from ezdxf.bbox import extents
from ezdxf.document import Drawing as DxfDocument
from ezdxf.filemanagement import readfile

from roofmodel.document import Job, Project, edits
from roofmodel.errors import FileError
from roofmodel.results import Results, results_of
from roofmodel.scene import EDGE_LOOKS
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import default_project
from roofmodel_io.dxf_plan import layer_of, plan_dxf, write_plan_dxf

FT = 304.8


def gable() -> Project:
    """40 by 24 ft, 6/12, gable ends east and west."""
    project, section = edits.new_section(
        default_project("Fern Hill"),
        [(0, 0), (40 * FT, 0), (40 * FT, 24 * FT), (0, 24 * FT)],
    )
    return edits.set_slope(project, section, ["e2", "e4"], None)


@pytest.fixture(scope="module")
def results() -> Results:
    return results_of(gable())


@pytest.fixture(scope="module")
def drawing(results: Results, tmp_path_factory: pytest.TempPathFactory) -> DxfDocument:
    path = tmp_path_factory.mktemp("dxf") / "plan.dxf"
    write_plan_dxf(path, results)
    return readfile(path)


def test_release_units_and_audit(drawing: DxfDocument) -> None:
    assert drawing.dxfversion == "AC1024"  # R2010
    assert drawing.header["$INSUNITS"] == 1
    assert drawing.header["$MEASUREMENT"] == 0
    auditor = drawing.audit()
    assert not auditor.errors
    assert not auditor.fixes


def test_the_extents_in_the_header_hold_everything(drawing: DxfDocument) -> None:
    found = extents(drawing.modelspace())
    low, high = drawing.header["$EXTMIN"], drawing.header["$EXTMAX"]
    assert low[0] <= found.extmin.x + 24
    assert low[1] <= found.extmin.y + 1e-6
    assert high[0] >= found.extmax.x - 24
    assert high[1] >= found.extmax.y - 24
    assert high[0] - low[0] < 2.0 * (found.extmax.x - found.extmin.x)


def test_a_layer_per_kind_with_its_colour_and_pattern(drawing: DxfDocument) -> None:
    for kind in EdgeKind:
        layer = drawing.layers.get(layer_of(kind))
        look = EDGE_LOOKS[kind]
        assert layer.rgb is not None
        assert "#{:02X}{:02X}{:02X}".format(*layer.rgb) == look.color
        assert (layer.dxf.linetype == "CONTINUOUS") == (look.pattern == ())
        assert layer.dxf.linetype in drawing.linetypes
    assert layer_of(EdgeKind.PITCH_TRANSITION) == "PITCH TRANSITION"
    assert "PLANES" in drawing.layers
    assert "NOTES" in drawing.layers


def test_lines_in_inches_on_their_layers(drawing: DxfDocument) -> None:
    lengths: dict[str, list[float]] = {}
    for line in drawing.modelspace().query("LINE"):
        length = math.dist(line.dxf.start, line.dxf.end)
        lengths.setdefault(line.dxf.layer, []).append(length)
    # In plan a rake of this house is 12 ft; its true length stands beside it.
    assert {k: sorted(v) for k, v in lengths.items()} == {
        "RIDGE": [pytest.approx(480)],
        "EAVE": [pytest.approx(480)] * 2,
        "RAKE": [pytest.approx(144)] * 4,
    }


def test_true_lengths_beside_their_edges(drawing: DxfDocument) -> None:
    space = drawing.modelspace()
    rakes = [t for t in space.query("TEXT") if t.dxf.layer == "RAKE"]
    assert sorted(t.dxf.text for t in rakes) == [f"Rake {k}: 13'-5\"" for k in range(1, 5)]
    assert {t.dxf.rotation for t in rakes} == {90.0}
    assert [t.dxf.text for t in space.query("TEXT") if t.dxf.layer == "RIDGE"] == [
        "Ridge 1: 40'-0\""
    ]
    for text in rakes:
        x, y, _ = text.dxf.align_point
        assert min(abs(x), abs(x - 480)) < 3 * text.dxf.height  # beside it, and outside
        assert not 0 < x < 480
        assert 0 < y < 288


def test_planes_with_name_pitch_and_true_area(drawing: DxfDocument) -> None:
    texts = [t.dxf.text for t in drawing.modelspace().query("TEXT") if t.dxf.layer == "PLANES"]
    assert texts.count("6/12") == 2
    assert texts.count("536.7 sq ft") == 2
    assert {"South 1", "North 1"} <= set(texts)


def test_title_block(results: Results) -> None:
    data = plan_dxf(results, "24 March").decode("utf-8")
    assert "Fern Hill" in data
    assert "Date: 24 March" in data
    assert "Field-measure before cutting." in data
    assert "true lengths" in data
    assert "One drawing unit is one inch." in data
    assert "Date:" not in plan_dxf(results).decode("utf-8")


def test_the_same_roof_gives_the_same_bytes(results: Results) -> None:
    assert plan_dxf(results) == plan_dxf(results_of(gable()))


def test_odd_names_do_no_harm(tmp_path: Path) -> None:
    job = Job(name="Line\nbreak\x00 and 屋根 %%u 0\nSECTION", client="Ü")
    path = tmp_path / "odd.dxf"
    write_plan_dxf(path, results_of(edits.set_job(gable(), job)))
    document = readfile(path)
    assert not document.audit().errors
    texts = [t.dxf.text for t in document.modelspace().query("TEXT")]
    assert any("屋根" in t for t in texts)


def test_an_empty_project_is_an_empty_plan(tmp_path: Path) -> None:
    path = tmp_path / "empty.dxf"
    write_plan_dxf(path, results_of(default_project()))
    assert not readfile(path).modelspace().query("LINE")


def test_a_place_that_cannot_be_written(results: Results, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="folder"):
        write_plan_dxf(tmp_path, results)
    with pytest.raises(FileError, match="no folder"):
        write_plan_dxf(tmp_path / "no" / "plan.dxf", results)
