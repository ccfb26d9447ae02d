"""Layers from TOML: the built-in file says what the program starts with, others are read or
refused with one sentence."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from roofmodel.document import Project
from roofmodel.document.work import ChosenExtra, IceBarrier, Work
from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind
from roofmodel.systems.layer_parts import Roll
from roofmodel.systems.layers import Layers
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.layers_toml import parse_layers, read_layers
from roofmodel_io.project_file import read_project, write_project

BUILT_IN = Path(__file__).parents[2] / "io/roofmodel_io/data/layers.toml"


def test_the_file_says_what_a_job_starts_with() -> None:
    assert read_layers(BUILT_IN) == Layers() == default_project().layers


def test_every_value_of_the_program_stands_in_the_file() -> None:
    # an empty file reads as the defaults, so equality alone would not show a value left out
    text = BUILT_IN.read_text("utf-8")
    for field in msgspec.structs.fields(Layers):
        starts = (f"\n{field.name} =", f"\n[{field.name}]", f"\n[{field.name}.")
        assert any(start in text for start in starts), field.name
    for roll in Layers().underlayments:
        assert f'[underlayments."{roll.key}"]' in text
    for extra in Layers().extras:
        assert f'[extras."{extra.key}"]' in text
    for old in Layers().old_coverings:
        assert f'[old_coverings."{old.key}"]' in text


def test_what_is_left_out_is_as_built_in_and_what_stands_there_holds(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(
        "low_slope = 2.0\nslope_factors = [[0, 1], [8, 1.4]]\n"
        '[strips."hip"]\nwidth = 12.0\n'
        '[underlayments."paper"]\nwidth = 40.0\nlength = 600.0\nhead_lap = 3.0\nend_lap = 5.0\n'
        "[waste]\npayload = 2000.0\nmost_layers = 3\n",
        "utf-8",
    )
    layers = read_layers(path)
    assert layers.low_slope == 2.0 / 12.0
    assert [(f.at, f.factor) for f in layers.slope_factors] == [(0.0, 1.0), (8.0 / 12.0, 1.4)]
    assert list(layers.strips) == [EdgeKind.HIP]
    assert layers.strips[EdgeKind.HIP].width == 304.8
    assert layers.underlayments == (Roll("paper", 1016.0, 15240.0, 76.2, 127.0),)
    assert layers.waste.payload == pytest.approx(2000.0 * 0.45359237)
    assert layers.waste.most_layers == 3
    assert layers.waste.box == Layers().waste.box
    assert layers.membrane == Layers().membrane


REFUSED = [
    ("low_slop = 3.0", "'low_slop' is unknown; did you mean 'low_slope'?"),
    ("low_slope = true", "'low_slope' is wrong; it must be a pitch as the rise in 12"),
    ("pipe_patch = -1.0", "'pipe_patch' is wrong; it must be a number of inches, 0 or more"),
    ('[over]\n"ridges" = 6.0', "'over.ridges' is unknown; did you mean 'ridge'?"),
    ('[strips."valley"]\nat_ends = 6.0', "'strips.valley.width' is missing"),
    ('[strips."valley"]\nwidth = 48.0', "A strip of membrane must be no wider than its roll."),
    ('[extras."gutter"]\nmeasure = "eave"', "it must be one of 'eaves', 'rakes'"),
    ("[waste]\nmost_layers = 1.5", "'waste.most_layers' is wrong; it must be a whole number"),
    ("[waste]\nbox = 0.0", "The trailer must carry"),
    ("[waste]\npayload = 1e-300", "The trailer must carry"),
    ("[waste]\ndensity = 1e-9", "must weigh 1 to 20000 kg per m³"),
    ("[waste]\ndensity = nan", "pounds per cubic yard"),
    ('[extras."panel screw"]\nmeasure = "count"', "'panel screw' has the name of goods"),
    ('[extras."trim:ridge cap"]\nmeasure = "count"', "'trim:ridge cap' has the name of goods"),
    ('[extras."felt No. 15"]\nmeasure = "count"', "call it something else"),
    ('[extras."trailer load"]\nmeasure = "count"', "call it something else"),
    ('[extras."saddle sheet"]\nmeasure = "count"', "call it something else"),
    ("[batten]\nspacing = 150.0", "Rows of battens must be 50 to 3048 mm"),
    ('[old_coverings."slate"]\nweight = "heavy"', "pounds per 100 sq ft"),
    ('[old_coverings."slate"]\nweight = 9.0\nnever_covered = 1', "it must be true or false"),
    ("slope_factors = [[3.0, 1.0]]", "Labour by slope must start at 0"),
    ("slope_factors = 1.0", "'slope_factors' is wrong; it must be pairs"),
    ("limits = 3", "'limits' is wrong; it must be a table"),
    ("[limits.face]\nleast_slope = 3.0\nsealed_slope = 4.0\nfixed_length = 720.0", "sealed slope"),
    ("[limits.face]\nleast_slope = 3.0\nsealed_slope = 1.0\nfixed_length = 720.0", "both fasten"),
    ("pipe_patch = ", "this is not valid TOML"),
]


@pytest.mark.parametrize(("text", "says"), REFUSED)
def test_what_is_wrong_is_told_in_one_sentence(text: str, says: str) -> None:
    with pytest.raises(FileError) as caught:
        parse_layers(text, "own.toml")
    message = str(caught.value)
    assert message.startswith("own.toml: ")
    assert says in message
    assert message[-1] in ".?"
    assert "\n" not in message


def test_layers_and_work_travel_in_the_project_file(tmp_path: Path) -> None:
    layers = msgspec.structs.replace(Layers(), pipe_patch=500.0)
    work = Work(ice_barrier=IceBarrier(True), extras=(ChosenExtra("gutter"),))
    project = Project(built_in_systems()[0], layers=layers, work=work)
    path = tmp_path / "job.roof"
    write_project(path, project, {})
    back = read_project(path).project
    assert (back.layers, back.work) == (layers, work)


def test_a_file_of_before_has_the_Layers() -> None:
    # version 3 knew nothing of layers
    old = Path(__file__).parents[1] / "data" / "version_3.roof"
    assert read_project(old).project.layers == Layers()
