"""What a system's file may say of cutting trim, and one sentence for every mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind
from roofmodel_io.systems_toml import parse_system, read_system

TOML = Path(__file__).parents[2] / "io/roofmodel_io/data/systems/ribbed_panel.toml"
RULE = '[[trim."rake"]]\npart = "rake trim"\n'


def test_the_built_in_rules_of_cutting() -> None:
    trim = read_system(TOML).trim
    ((valley,), (ridge,)) = trim[EdgeKind.VALLEY], trim[EdgeKind.RIDGE]
    assert valley.low_lap is not None
    assert (valley.lap / 25.4, valley.low_lap / 25.4) == pytest.approx((6.0, 12.0))
    assert valley.low_slope == 0.25
    assert valley.ends == {"valley foot": 50.8, "valley at a wall": 50.8, "valley head": 101.6}
    assert ridge.ends["ridge end at a gable"] == 50.8
    (rake,) = trim[EdgeKind.RAKE]
    assert (rake.ends["roof corner"], rake.hang) == pytest.approx((25.4, 4.75 * 25.4))
    assert (ridge.more_stock, ridge.kerf) == ((), 0.0)


def test_everything_a_rule_may_say() -> None:
    more = 'more_stock = [120, 240.0]\nkerf = 0.125\nends = { "peak" = 3.0 }\n'
    more += 'along = "each plane"\nbent_to_roof = false\nreach = 2\nhang = 3.5\n'
    (rule,) = parse_system(without_ends(RULE + more), "own.toml").trim[EdgeKind.RAKE]
    assert rule.more_stock == (3048.0, 6096.0)
    assert rule.kerf == 3.175
    assert rule.ends == {"peak": 76.2}
    assert (rule.along, rule.bent_to_roof) == ("each plane", False)
    assert (rule.reach, rule.hang) == pytest.approx((2.0 * 25.4, 3.5 * 25.4))
    (plain,) = parse_system(without_ends(RULE), "own.toml").trim[EdgeKind.RAKE]
    assert (plain.reach, plain.hang) == (0.0, 0.0)


def test_an_edge_takes_several_parts_or_none() -> None:
    text = TOML.read_text("utf-8")
    second = '[[trim."rake"]]\npart = "rake cleat"\nstock_length = 120\nlap = 0\nsource = "own"\n'
    trim = parse_system(f"{text}\n{second}", "own.toml").trim
    assert [rule.part for rule in trim[EdgeKind.RAKE]] == ["rake trim", "rake cleat"]
    bad = second.replace("lap = 0", "lap = 0\nkerf = 'thin'")
    with pytest.raises(FileError, match=r"'trim\.rake \(part 2\)\.kerf' is wrong"):
        parse_system(f"{text}\n{bad}", "own.toml")
    with pytest.raises(FileError, match="the trim of a rake names a part twice"):
        parse_system(f"{text}\n{second.replace('cleat', 'trim')}", "own.toml")
    start = text.index('[[trim."deck edge"]]')
    end = text.index("[[trim.", start + 1)
    none = f"{text[:start]}{text[end:]}".replace(
        '[[trim."eave"]]', '[trim]\n"deck edge" = []\n[[trim."eave"]]'
    )
    assert parse_system(none, "own.toml").trim[EdgeKind.DECK_EDGE] == ()
    table = text.replace(RULE, RULE.replace("[[", "[").replace("]]", "]"))
    with pytest.raises(FileError, match=r"begun with \[\[trim\.\"rake\"\]\]"):
        parse_system(table, "own.toml")


def without_ends(rule: str) -> str:
    """The built-in file with this in place of its rake rule's head, no ends and no hang there."""
    start, rest = TOML.read_text("utf-8").split(RULE)
    own, after = rest.split("ends = ", 1)
    *_, after = after.split("hang = ", 1)
    return start + rule + own + after.split("\n", 1)[1]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("more_stock = 120.0", ("trim.rake.more_stock", "list of inches")),
        ('more_stock = ["10 ft"]', ("trim.rake.more_stock", "number of inches")),
        ("more_stock = [-5.0]", ("trim.rake.more_stock", "more than 0")),
        ("kerf = -0.1", ("trim.rake.kerf", "0 or more")),
        ("kerf = 200.0", ("rake trim", "3048 mm (10 ft)")),
        ("hang = 200.0", ("rake trim", "hang must lie between", "3048 mm (10 ft)")),
        ("hang = -1.0", ("trim.rake.hang", "0 or more")),
        ('hang = "4 in"', ("trim.rake.hang", "number of inches")),
        ("more_stock = [5000.0]", ("rake trim", "100 m (328 ft)")),
        ("kerfs = 0.1", ("trim.rake.kerfs", "did you mean 'kerf'")),
        ('ends = { "hip feet" = 1.0 }', ("trim.rake.ends.hip feet", "did you mean 'hip foot'")),
        ('ends = { "peak" = "long" }', ("trim.rake.ends.peak", "number of inches")),
        ("ends = 3.0", ("trim.rake.ends", "table")),
        ('along = "both"', ("trim.rake.along", "'each plane'")),
        ("along = 2", ("trim.rake.along", "'each plane'")),
        ('bent_to_roof = "no"', ("trim.rake.bent_to_roof", "true or false")),
    ],
)
def test_a_mistake_is_named_with_its_key(line: str, words: tuple[str, ...]) -> None:
    text = without_ends(f"{RULE}{line}\n")
    assert line in text
    with pytest.raises(FileError) as caught:
        parse_system(text, "own.toml")
    sentence = str(caught.value)
    assert sentence.startswith("own.toml: ")
    for word in words:
        assert word in sentence


@pytest.mark.parametrize("slope", ["true", '"3/12"', "-0.25", "nan", "inf", "1e9"])
def test_a_slope_that_is_none(slope: str) -> None:
    text = TOML.read_text("utf-8").replace("low_slope = 0.25", f"low_slope = {slope}")
    with pytest.raises(FileError, match=r"own\.toml: "):
        parse_system(text, "own.toml")
