"""Roofing systems from TOML: the built-in one, and one sentence for every mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from roofmodel.document import NOT_IN_JOB, OTHER
from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind
from roofmodel.systems.types import NO_IDS
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.systems_toml import parse_system, read_system

IN = 25.4
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
    assert {len(rules) for rules in system.trim.values()} == {1}
    trim = {kind: rules[0] for kind, rules in system.trim.items()}
    assert trim[EdgeKind.RIDGE].stock_length == 3200.4
    assert trim[EdgeKind.EAVE].lap == 50.8
    assert trim[EdgeKind.VALLEY].lap == pytest.approx(152.4)
    assert "R905.2.8.5" in trim[EdgeKind.EAVE].source
    assert all(rule.source for rule in trim.values())
    assert trim[EdgeKind.UPHILL_SIDE].part == "back pan"
    assert trim[EdgeKind.DOWNHILL_SIDE].part == "apron flashing"
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
        ("\nlap = 6.0", "\nlap = 200.0", ("valley pan", "shorter")),
        ('[[trim."valley"]]', '[[trim."vally"]]', ("trim.vally", "valley")),
        ('id = "ribbed_panel"', "", ("'id'", "missing")),
        ('id = "ribbed_panel"', 'id = "other"', ("id 'other'", "give it another id")),
        ('id = "ribbed_panel"', 'id = "Not in this job"', ("another id",)),
        ("coverage = 36.0", "coverage = 400.0", ("panel.coverage", "up to 33 ft")),
        ("coverage = 36.0", "coverage = 1e6", ("panel.coverage", "up to 33 ft")),
        ("stagger = 24.0", "stagger = 1e6", ("stagger", "100 m")),
        ("reach = 10.75", "reach = 1e5", ("valley pan", "3048 mm")),
        ('"valley foot" = 2.0', '"valley foot" = 1e5', ("valley pan", "3048 mm")),
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


def test_ids_that_stand_for_something_else() -> None:
    assert {OTHER, NOT_IN_JOB} == set(NO_IDS)


def test_the_standing_seam_in_mm() -> None:
    ribbed, seam = built_in_systems()
    assert (ribbed.id, seam.id) == ("ribbed_panel", "standing_seam")
    assert seam.coverage == 16 * IN
    assert (seam.panel.narrowest, seam.panel.widest) == pytest.approx((12 * IN, 18 * IN))
    assert (seam.panel.fastening, ribbed.panel.fastening) == ("clips", "face")
    assert seam.hems == {EdgeKind.EAVE: IN, EdgeKind.VALLEY: IN}
    assert ribbed.hems == {}
    assert seam.vented_shifts[EdgeKind.RIDGE] < seam.shifts[EdgeKind.RIDGE]
    assert ribbed.vented_shifts[EdgeKind.RIDGE] == -2 * IN
    assert ribbed.panel.lap_at(0.2) == pytest.approx(12 * IN)
    assert ribbed.panel.lap_at(0.25) == pytest.approx(6 * IN)
    assert ribbed.panel.cut_offs_serve
    assert not seam.panel.cut_offs_serve
    assert "trade magazine" in seam.source_of("panel.longest")
    assert seam.source_of("panel.stagger") == "common practice, no source"
    assert set(seam.trim) == set(seam.shifts) == set(EdgeKind)
    parts = {kind: [rule.part for rule in rules] for kind, rules in seam.trim.items()}
    assert parts[EdgeKind.RIDGE] == ["seam ridge cap", "Z closure"]
    assert parts[EdgeKind.VALLEY] == ["valley pan", "valley cleat"]
    assert parts[EdgeKind.RAKE] == ["seam rake trim", "rake cleat"]
    assert parts[EdgeKind.EAVE] == ["eave edge"]
    for rules in seam.trim.values():
        for rule in rules:
            own = rule.part in ("Z closure", "valley cleat", "rake cleat")
            assert rule.bent_to_roof is not own
            on_panels = rule.part in ("Z closure", "valley cleat")
            assert (rule.along != "edge") is on_panels
            assert "common practice, no source" in rule.source
    assert seam.trim[EdgeKind.PITCH_TRANSITION][1].along == "lower plane"


def test_what_may_be_left_out() -> None:
    text = TOML.read_text("utf-8")
    kept = "\n".join(
        line
        for line in text.splitlines()
        if not line.startswith(("longest", "end_lap", "low_", "stagger", "least_", "cut_offs"))
    )
    assert parse_system(kept, "own.toml").panel.longest is None


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("longest = 540.0", "longest = 20", ("panel.longest", "two end laps")),
        ("longest = 540.0", "longst = 540", ("panel.longst", "did you mean 'longest'")),
        ("least_width = 6.0", "least_width = 40", ("panel.least_width", "than the coverage")),
        ("least_width = 6.0", "least_width = true", ("panel.least_width", "number of inches")),
        ("low_end_lap = 12.0", "low_end_lap = 2.0", ("panel.low_end_lap", "'end_lap'")),
        ("\nend_lap = 6.0", "\nend_lap = 60.0", ("panel.end_lap", "39 in")),
        ("low_slope = 0.25  ", "low_slope = '3/12'  ", ("panel.low_slope", "rise over run")),
        ('fastening = "face"', 'fastening = "glue"', ("panel.fastening", "'face' or 'clips'")),
        ("turns = false", "turns = 0", ("panel.turns", "true or false")),
        ("coverage = 36.0", "coverage = 36.0\nwidest = 30", ("panel.widest", "the coverage")),
        ("coverage = 36.0", "coverage = 36.0\nnarrowest = 40", ("panel.narrowest", "coverage")),
        ("rib_height = 0.75", "rib_height = -1", ("panel.rib_height", "0 or more")),
        ('"ridge" = -2.0', '"ridge" = -50.0', ("vented_shifts.ridge", "from -39 to 39")),
        ('"ridge" = -2.0', '"peak" = -2.0', ("vented_shifts.peak", "known are")),
        ('"ridge" = -2.0', '"ridge" = -2.0\n[hems]\neave = -1', ("hems.eave", "from 0 to 12")),
        ('"panel.longest" =', '"panel.longst" =', ("sources.panel.longst", "did you mean")),
    ],
)
def test_a_mistake_in_panel_rules_is_named(old: str, new: str, words: tuple[str, ...]) -> None:
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
