"""Cross-sections of trim from TOML, and in the project: what is read, and one sentence for every
mistake."""

from __future__ import annotations

import json
import zipfile
from io import BytesIO
from pathlib import Path

import msgspec
import pytest

from roofmodel.document import Project
from roofmodel.errors import DocumentError, FileError, NotAProject
from roofmodel.systems import Hem, TrimProfile
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.parts_toml import built_in_parts, parse_parts, read_parts
from roofmodel_io.project_file import decode_project, encode_project, read_project

TOML = Path(__file__).parents[2] / "io/roofmodel_io/data/parts.toml"
DATA = Path(__file__).parents[1] / "data"

OWN = """
[metal]
gauge = "26 ga"
thickness = 0.0217

[parts."cap"]
legs = [
    { name = "left", length = 5, on = "first plane" },
    { name = "right", length = 7.5, on = "second plane" },
]
bends = [{ follows = 1.0 }]
end_hem = { kind = "open", width = 0.5, gap = 0.125, to = "up" }
folds = [0, 90]
painted = "both sides"
source = "the shop's own drawing"
"""


def test_everything_a_part_may_say() -> None:
    (cap,) = parse_parts(OWN, "own.toml")
    assert cap.name == "cap"
    assert [(leg.name, leg.length, leg.on) for leg in cap.legs] == [
        ("left", 127.0, "first plane"), ("right", 190.5, "second plane"),
    ]  # fmt: skip
    assert [(b.fixed, b.follows) for b in cap.bends] == [(0.0, 1.0)]
    assert (cap.start_hem, cap.end_hem) == (None, Hem("open", 12.7, 3.175, "up"))
    assert (cap.folds, cap.painted) == ((0.0, 90.0), "both sides")
    assert (cap.metal.gauge, cap.metal.k_factor, cap.metal.deducts) == ("26 ga", 0.44, True)
    assert cap.metal.thickness == pytest.approx(0.0217 * 25.4)


def test_a_part_of_its_own_metal() -> None:
    own = OWN.replace("painted =", 'metal = { gauge = "0.032", deducts = false }\npainted =')
    (cap,) = parse_parts(own, "own.toml")
    assert (cap.metal.gauge, cap.metal.deducts) == ("0.032", False)
    assert cap.metal.thickness == pytest.approx(0.0217 * 25.4)  # as the file's metal


def test_the_built_in_parts() -> None:
    parts = {p.name: p for p in read_parts(TOML)}
    assert tuple(parts.values()) == built_in_parts()
    for system in built_in_systems():
        named = {rule.part for rules in system.trim.values() for rule in rules}
        assert named <= parts.keys(), named - parts.keys()
    assert {
        *("eave drip edge", "eave edge", "rake trim", "rake cleat", "ridge cap", "hip cap"),
        *("seam rake trim", "seam ridge cap", "seam hip cap", "seam headwall flashing"),
        *("seam sidewall flashing", "seam high-eave cap", "seam transition trim"),
        *("seam deck edge trim", "seam apron flashing", "seam side flashing"),
        *("valley pan", "valley cleat", "transition trim", "headwall flashing", "Z closure"),
        *("sidewall flashing", "high-eave cap", "deck edge trim", "back pan", "apron flashing"),
        "side flashing",
    } <= parts.keys()
    metal = parts["ridge cap"].metal
    assert (metal.thickness / 25.4, metal.inside_radius / 25.4) == pytest.approx((0.0276, 1 / 32))
    assert (metal.k_factor, metal.deducts) == (0.44, True)
    assert parts["eave edge"].legs[1].length == pytest.approx(1.5 * 25.4)
    assert all(p.source for p in parts.values())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("length = 5,", "", ("parts.cap.legs.1.length", "number of inches")),
        ("length = 5,", "length = -5,", ("parts.cap.legs.1.length", "more than 0")),
        ("length = 5,", 'length = "5 in",', ("parts.cap.legs.1.length", "number of inches")),
        ("length = 5,", "lenght = 5,", ("parts.cap.legs.1.lenght", "did you mean 'length'")),
        ('on = "first plane"', 'on = "roof"', ("parts.cap.legs.1.on", '"first plane"')),
        ("follows = 1.0", 'follows = "all"', ("parts.cap.bends.1.follows", "a number")),
        ("follows = 1.0", "fixed = 200.0", ("parts.cap.bends.1.fixed", "-180 and 180")),
        ("bends = [{ follows = 1.0 }]", "", ("'cap'", "2 legs and 0 bends")),
        ("bends = [{ follows = 1.0 }]", "bends = 1.0", ("parts.cap.bends", "list of tables")),
        ('kind = "open"', 'kind = "loose"', ("parts.cap.end_hem.kind", '"closed"', '"open"')),
        ('to = "up"', 'to = "in"', ("parts.cap.end_hem.to", '"up" or "down"')),
        ("width = 0.5", "width = 0", ("parts.cap.end_hem.width", "more than 0")),
        ("width = 0.5", "width = 0.1", ("'cap'", "open hem", "0.375 in")),
        ("folds = [0, 90]", "folds = 90", ("parts.cap.folds", "least and the greatest")),
        ("folds = [0, 90]", "folds = [90, 0]", ("parts.cap.folds", "least fold first")),
        ("folds = [0, 90]", "folds = [0, 179]", ("'cap'", "too short for its bends")),
        ('painted = "both sides"', 'painted = "blue"', ("parts.cap.painted", '"not painted"')),
        ('gauge = "26 ga"', "gauge = 26", ("metal.gauge", "text in quotes")),
        ("thickness = 0.0217", "thickness = 0", ("metal.thickness", "more than 0")),
        ("thickness = 0.0217", "thickness = 2.0", ("26 ga", "0.1 and 5 mm")),
        ("thickness = 0.0217", "deducts = 1", ("metal.deducts", "true or false")),
        ("thickness = 0.0217", "thick = 1.0", ("metal.thick", "did you mean 'thickness'")),
        ("thickness = 0.0217", "k_factor = 0.9", ("K-factor", "0.3 and 0.5")),
        ('source = "the shop\'s own drawing"', "", ("parts.cap.source", "missing")),
        ("[metal]", "[sheet]", ("'sheet'", "unknown")),
        ("legs = [", "legs = [[", ("not valid TOML",)),
    ],
)
def test_a_mistake_is_named_with_file_and_key(old: str, new: str, words: tuple[str, ...]) -> None:
    assert old in OWN
    with pytest.raises(FileError) as caught:
        parse_parts(OWN.replace(old, new), "own.toml")
    sentence = str(caught.value)
    assert sentence.startswith("own.toml: ")
    assert sentence.endswith((".", "?"))
    for word in words:
        assert word in sentence


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"parts' is missing"):
        parse_parts("", "own.toml")
    with pytest.raises(FileError, match=r"a table of parts"):
        parse_parts("parts = {}", "own.toml")
    with pytest.raises(FileError, match=r"missing\.toml"):
        read_parts(tmp_path / "missing.toml")
    (tmp_path / "latin.toml").write_bytes(b"[metal]\ngauge = '\xff'\n")
    with pytest.raises(FileError, match="UTF-8"):
        read_parts(tmp_path / "latin.toml")


def test_a_new_project_brings_the_built_in_parts() -> None:
    project = default_project()
    assert project.parts == built_in_parts()
    assert decode_project(encode_project(project, {}), "a.roof").project == project


def test_a_project_keeps_its_own_parts() -> None:
    own = parse_parts(OWN, "own.toml")
    project = msgspec.structs.replace(default_project(), parts=own)
    assert decode_project(encode_project(project, {}), "a.roof").project.parts == own


@pytest.mark.parametrize("name", ["version_1.roof", "version_2.roof"])
def test_an_older_file_gets_the_built_in_parts(name: str) -> None:
    assert read_project(DATA / name).project.parts == built_in_parts()


def test_a_part_of_one_name_only_once() -> None:
    part: TrimProfile = built_in_parts()[0]
    with pytest.raises(DocumentError, match="cross-section of trim"):
        Project(built_in_systems()[0], parts=(part, part))


def test_a_file_with_a_part_that_cannot_be_bent_is_refused() -> None:
    data = encode_project(default_project(), {})
    with zipfile.ZipFile(BytesIO(data)) as box:
        content = json.loads(box.read("project.json"))
    content["project"]["parts"][0]["bends"] = []
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as box:
        box.writestr("project.json", json.dumps(content))
    with pytest.raises(NotAProject, match="3 legs and 0 bends"):
        decode_project(out.getvalue(), "a.roof")
