"""What a system's file may say of cutting trim, and one sentence for every mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind
from roofmodel_io.systems_toml import parse_system, read_system

TOML = Path(__file__).parents[2] / "io/roofmodel_io/data/systems/ribbed_panel.toml"
RULE = '[trim."rake"]\npart = "rake trim"\n'


def test_the_built_in_rules_of_cutting() -> None:
    trim = read_system(TOML).trim
    valley, ridge = trim[EdgeKind.VALLEY], trim[EdgeKind.RIDGE]
    assert valley.low_lap is not None
    assert (valley.lap / 25.4, valley.low_lap / 25.4) == pytest.approx((6.0, 12.0))
    assert valley.low_slope == 0.25
    assert valley.ends == {"valley foot": 50.8, "valley head": 101.6}
    assert ridge.ends == {"ridge end at a gable": 50.8}
    assert (ridge.more_stock, ridge.kerf) == ((), 0.0)


def test_everything_a_rule_may_say() -> None:
    more = 'more_stock = [120, 240.0]\nkerf = 0.125\nends = { "peak" = 3.0 }\n'
    rule = parse_system(TOML.read_text("utf-8").replace(RULE, RULE + more), "own.toml").trim[
        EdgeKind.RAKE
    ]
    assert rule.more_stock == (3048.0, 6096.0)
    assert rule.kerf == 3.175
    assert rule.ends == {"peak": 76.2}


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("more_stock = 120.0", ("trim.rake.more_stock", "list of inches")),
        ('more_stock = ["10 ft"]', ("trim.rake.more_stock", "number of inches")),
        ("more_stock = [-5.0]", ("trim.rake.more_stock", "more than 0")),
        ("kerf = -0.1", ("trim.rake.kerf", "0 or more")),
        ("kerfs = 0.1", ("trim.rake.kerfs", "did you mean 'kerf'")),
        ('ends = { "hip feet" = 1.0 }', ("trim.rake.ends.hip feet", "did you mean 'hip foot'")),
        ('ends = { "peak" = "long" }', ("trim.rake.ends.peak", "number of inches")),
        ("ends = 3.0", ("trim.rake.ends", "table")),
    ],
)
def test_a_mistake_is_named_with_its_key(line: str, words: tuple[str, ...]) -> None:
    text = TOML.read_text("utf-8").replace(RULE, f"{RULE}{line}\n")
    assert line in text
    with pytest.raises(FileError) as caught:
        parse_system(text, "own.toml")
    sentence = str(caught.value)
    assert sentence.startswith("own.toml: ")
    for word in words:
        assert word in sentence


@pytest.mark.parametrize("slope", ["true", '"3/12"', "-0.25", "nan"])
def test_a_slope_that_is_none(slope: str) -> None:
    text = TOML.read_text("utf-8").replace("low_slope = 0.25", f"low_slope = {slope}")
    with pytest.raises(FileError, match=r"own\.toml: "):
        parse_system(text, "own.toml")
