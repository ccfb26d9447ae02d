"""Roofing systems from TOML: the built-in one, and one sentence for every mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.systems_toml import parse_system, read_system

TOML = Path(__file__).parents[2] / "io/roofmodel_io/data/systems/ribbed_panel.toml"


def test_the_built_in_system_in_mm() -> None:
    system = built_in_systems()[0]
    assert system == read_system(TOML) == default_project().system
    assert system.coverage == 36 * 25.4
    assert system.lap_leg == 38.1
    assert system.shifts[EdgeKind.EAVE] == 38.1
    assert system.shifts[EdgeKind.VALLEY] == pytest.approx(-7 * 25.4)
    assert system.shifts[EdgeKind.RAKE] == 0
    assert set(system.trim) == set(system.shifts) == set(EdgeKind)
    assert system.trim[EdgeKind.RIDGE].stock_length == 3200.4
    assert system.trim[EdgeKind.EAVE].lap == 50.8
    assert system.trim[EdgeKind.VALLEY].lap == pytest.approx(152.4)
    assert "R905.2.8.5" in system.trim[EdgeKind.EAVE].source
    assert all(rule.source for rule in system.trim.values())
    assert system.trim[EdgeKind.UPHILL_SIDE].part == "back pan"
    assert system.trim[EdgeKind.DOWNHILL_SIDE].part == "apron flashing"
    assert system.shifts[EdgeKind.DOWNHILL_SIDE] == system.shifts[EdgeKind.HEADWALL]
    assert system.shifts[EdgeKind.SIDE] == system.shifts[EdgeKind.SIDEWALL]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("coverage = 36.0", 'coverage = "wide"', ("panel.coverage", "number of inches")),
        ("coverage = 36.0", "coverage = true", ("panel.coverage", "number of inches")),
        ("coverage = 36.0", "coverage = nan", ("panel.coverage", "number of inches")),
        ("coverage = 36.0", "coverage = -36.0", ("panel.coverage", "more than 0")),
        ("coverage = 36.0", "coverage = 0.5", ("at least 25 mm",)),
        ("coverage = 36.0", "", ("panel.coverage", "missing")),
        ("coverage = 36.0", "coverag = 36.0", ("panel.coverag", "did you mean 'coverage'")),
        ("coverage = 36.0", "coverage = 36.0\ncoverage = 3", ("not valid TOML", "line")),
        ("coverage = 36.0", "coverage = ", ("not valid TOML", "line")),
        ('"ridge" = -1.0', '"rigde" = -1.0', ("shifts.rigde", "did you mean 'ridge'")),
        ('"ridge" = -1.0', "", ("shifts.ridge", "missing")),
        ('"uphill side" = -3.0', "", ("shifts.uphill side", "missing")),
        ('"ridge" = -1.0', '"ridge" = 99.0', ("ridge", "1000 mm")),
        ('part = "ridge cap"', "part = 5", ("trim.ridge.part", "text in quotes")),
        ('part = "ridge cap"', 'part = " "', ("trim.ridge.part", "text in quotes")),
        ("lap = 6.0", "lap = 200.0", ("valley pan", "shorter")),
        ('[trim."valley"]', '[trim."vally"]', ("trim.vally", "valley")),
        ('id = "ribbed_panel"', "", ("'id'", "missing")),
        ("[panel]", "[panels]", ("panels", "panel")),
    ],
)
def test_a_mistake_is_named_with_its_key_and_remedy(
    old: str, new: str, words: tuple[str, ...]
) -> None:
    text = TOML.read_text("utf-8")
    assert text.count(old) == 1
    with pytest.raises(FileError) as caught:
        parse_system(text.replace(old, new), "own.toml")
    sentence = str(caught.value)
    assert sentence.startswith("own.toml: ")
    assert "\n" not in sentence
    for word in words:
        assert word in sentence


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b'name = "T\xf4le"')
    with pytest.raises(FileError, match="UTF-8"):
        read_system(tmp_path / "latin.toml")
    with pytest.raises(FileError, match="no file"):
        read_system(tmp_path / "none.toml")
    with pytest.raises(FileError, match="folder"):
        read_system(tmp_path)
