"""Reading and writing project files: round trips, refusals, and never losing what was there."""

from __future__ import annotations

import io
import json
import os
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path

import msgspec
import pytest
from PIL import Image

from roofmodel.document import (
    ByEdge,
    ByHeights,
    BySlope,
    KnownDistance,
    Project,
    Step,
    Underlay,
    cover_edits,
    edits,
    part_edits,
)
from roofmodel.document.underlay_edits import new_underlay
from roofmodel.errors import FileError, NewerVersion, NotAProject
from roofmodel.systems import EdgeKind
from roofmodel_io.defaults import built_in_systems, default_project
from roofmodel_io.project_file import (
    MIGRATIONS,
    VERSION,
    encode_project,
    lift,
    read_project,
    write_project,
)

DATA = Path(__file__).parents[1] / "data"


def png(width: int = 4, height: int = 3) -> bytes:
    stream = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(stream, "PNG")
    return stream.getvalue()


def house() -> Project:
    project, section = edits.new_section(
        default_project("Fern Hill"), [(0, 0), (12000, 0), (12000, 8000.5), (0, 8000.5)], "House"
    )
    project = edits.set_eave_height(project, section, 2700.0)
    project = edits.set_slope(project, section, ["e2"], None)
    project = edits.set_profile(project, section, ["e1"], [Step(0.0, 2.0), Step(1800.0, 1 / 3)])
    return new_underlay(project, Underlay("u1", "photo.png", 4, 3, scaled=True))[0]


def whole_job() -> Project:
    """A project with everything that version 2 brought."""
    project = house()
    square = [(0.0, 0.0), (900.0, 0.0), (900.0, 900.0), (0.0, 900.0)]
    project, barn = part_edits.new_building(project, "Barn")
    for lies in (
        BySlope((0.0, 0.0, 2700.0), 0.25, 180.0),
        ByHeights(((0.0, 0.0, 1.0), (1.0, 0.0, 2.0), (0.0, 1.0, 3.0))),
        ByEdge("s1", "s1/e1/0/0|e1|0", -0.1),
    ):
        project, _ = part_edits.new_plane(project, square, lies, building=barn)
    project, chimney = part_edits.new_opening(project, "chimney", square, saddle=True)
    project = part_edits.change_opening(project, chimney, saddle_slope=0.4, height=1500.0)
    project = part_edits.set_open_below(project, "s1", True)
    project = edits.set_level(project, "s1", "plates")
    second = msgspec.structs.replace(built_in_systems()[0], id="second", name="Second")
    project = cover_edits.add_system(project, second)
    project = cover_edits.set_building_covering(project, barn, "second")
    project = cover_edits.set_plane_covering(project, "s1/e1/0/0", "other")
    return cover_edits.set_edge_kind(project, "s1/e1/0/0|e1|0", EdgeKind.HEADWALL)


def container(members: Mapping[str, bytes | str]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as box:
        for name, data in members.items():
            box.writestr(name, data)
    return stream.getvalue()


def as_json(project: Project, **changes: object) -> str:
    return json.dumps({"version": VERSION, "project": msgspec.to_builtins(project), **changes})


def one_sentence(error: pytest.ExceptionInfo[FileError]) -> str:
    text = str(error.value)
    assert "\n" not in text
    assert text.endswith(".")
    return text


def refused(tmp_path: Path, data: bytes, kind: type[FileError] = NotAProject) -> str:
    path = tmp_path / "bad.roof"
    path.write_bytes(data)
    with pytest.raises(kind) as caught:
        read_project(path)
    assert type(caught.value) is kind
    assert path.read_bytes() == data
    return one_sentence(caught)


def test_a_project_comes_back_equal_with_its_pictures(tmp_path: Path) -> None:
    path = tmp_path / "house.roof"
    pictures = {"photo.png": png(), "second one.png": png(2, 2)}
    write_project(path, house(), pictures)
    opened = read_project(path)
    assert opened.project == house()
    assert opened.pictures == pictures


def test_everything_of_version_2_comes_back_equal(tmp_path: Path) -> None:
    path = tmp_path / "job.roof"
    write_project(path, whole_job(), {"photo.png": png()})
    assert read_project(path).project == whole_job()


def test_a_file_of_version_1_opens_as_it_was() -> None:
    """The file was written by the program of that time; see `roofmodel_io.migrations`."""
    project, pictures = read_project(DATA / "version_1.roof")
    assert (project.job.name, project.units.system) == ("Version one", "metric")
    assert [u.file for u in project.underlays] == list(pictures) == ["photo.png"]
    house, garage = project.sections()
    assert [len(r.corners) for r in house.rings] == [4, 4]
    assert (house.line, house.overhang, house.rings[0].edges[2].overhang) == ("wall", 300.0, 450.0)
    assert house.rings[0].edges[0].profile == (Step(0.0, 2.0), Step(1800.0, 0.4))
    assert house.rings[0].edges[1].profile == (Step(0.0, None),)
    assert (garage.deck_height, garage.eave_height) == (1500.0, 2400.0)
    assert [b.id for b in project.buildings] == ["b1", "b5"]
    # what came later
    assert (house.ids_used, garage.ids_used, project.ids_used) == (8, 5, 5)
    assert (house.level, house.open_below) == ("fascias", False)
    assert not project.planes()
    assert not project.openings()
    assert [s.id for s in project.systems()] == [built_in_systems()[0].id]
    assert set(project.system.trim) == set(project.system.shifts) == set(EdgeKind)
    assert part_edits.new_building(project)[1] == "b6"
    assert encode_project(project, pictures) != (DATA / "version_1.roof").read_bytes()


def test_a_file_of_version_2_opens_as_it_was() -> None:
    """Written by the program of that time, with everything that version 2 brought."""
    project, pictures = read_project(DATA / "version_2.roof")
    hidden = msgspec.structs.replace(
        whole_job().underlays[0], turn=12.5, opacity=0.5, visible=False
    )
    # the file carries the roofing systems of its time
    now = msgspec.structs.replace(
        whole_job(),
        underlays=(hidden,),
        system=project.system,
        more_systems=project.more_systems,
    )
    assert project == now
    assert pictures == {"photo.png": png()}
    (underlay,) = project.underlays
    assert (underlay.kind, underlay.locked, underlay.distances) == ("picture", False, ())


def test_a_file_of_version_3_opens_as_it_was() -> None:
    """Written by the program of that time; each kind of edge had one part of trim."""
    project, pictures = read_project(DATA / "version_3.roof")
    systems = {"system": project.system, "more_systems": project.more_systems}
    assert project == msgspec.structs.replace(whole_job(), **systems)
    assert pictures == {"photo.png": png()}
    assert len(project.more_systems) == 1
    for system in project.systems():
        assert set(system.trim) == set(EdgeKind)
        assert {len(rules) for rules in system.trim.values()} == {1}
        assert system.trim[EdgeKind.RIDGE][0].ends == {"ridge end at a gable": 50.8}
        # what it is fastened with came later
        fixing = {s.panel.fastening: s.fixing for s in built_in_systems()}
        assert system.fixing == fixing[system.panel.fastening]


def test_underlays_of_every_kind_come_back_equal(tmp_path: Path) -> None:
    known = (KnownDistance((0.0, 0.0), (3.0, 0.0), 1000.0),)
    project = msgspec.structs.replace(
        default_project(),
        underlays=(
            Underlay("u1", "a.png", 4, 3, distances=known, world=(5e8, 4e9), locked=True),
            Underlay("u2", "b.pdf", 612, 792, kind="page", page=3, turn=-30.0),
            Underlay("u3", "c.dxf", 40, 24, 304.8, kind="drawing", hidden_layers=("NOTES",)),
        ),
    )
    files = {"a.png": png(), "b.pdf": b"%PDF-1.7", "c.dxf": b"0\nEOF\n"}
    write_project(tmp_path / "job.roof", project, files)
    assert read_project(tmp_path / "job.roof") == (project, files)


@pytest.mark.parametrize("name", ["version_1.roof", "version_2.roof", "version_3.roof"])
def test_what_a_file_said_of_its_system_is_kept(name: str) -> None:
    with zipfile.ZipFile(DATA / name) as box:
        before = json.loads(box.read("project.json"))["project"]["system"]
    after = read_project(DATA / name).project.system
    for kind, shift in before["shifts"].items():
        assert after.shifts[EdgeKind(kind)] == shift
    for kind, rule in before["trim"].items():
        (kept,) = json.loads(msgspec.json.encode(after.trim[EdgeKind(kind)]))
        assert {key: kept[key] for key in rule} == rule


def test_the_same_project_gives_the_same_bytes() -> None:
    a, b = png(), png(2, 2)
    assert encode_project(house(), {"photo.png": a, "b.png": b}) == encode_project(
        house(), {"b.png": b, "photo.png": a}
    )


def test_the_json_inside_has_sorted_keys_and_a_version() -> None:
    data = encode_project(house(), {"photo.png": png()})
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        assert box.namelist() == ["project.json", "pictures/photo.png"]
        text = box.read("project.json").decode("utf-8")
    content = json.loads(text)
    assert content["version"] == VERSION == 5
    assert list(content["project"]) == sorted(content["project"])


def test_truncated_anywhere_is_refused(tmp_path: Path) -> None:
    data = encode_project(house(), {"photo.png": png()})
    for length in (0, 1, 30, len(data) // 2, len(data) - 10, len(data) - 1):
        assert "'bad.roof'" in refused(tmp_path, data[:length])


def test_a_flipped_byte_is_refused(tmp_path: Path) -> None:
    data = bytearray(encode_project(house(), {"photo.png": png()}))
    place = data.index(f'"version": {VERSION}'.encode()) + 20
    data[place - 40] ^= 1
    assert "damaged" in refused(tmp_path, bytes(data))


def test_what_is_no_zip_is_refused(tmp_path: Path) -> None:
    assert "not a roof project" in refused(tmp_path, b"just some text\n" * 20)
    assert "not a roof project" in refused(tmp_path, png())


def test_a_zip_of_something_else_is_refused(tmp_path: Path) -> None:
    assert "project.json" in refused(tmp_path, container({"letter.txt": "hello"}))


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", '"x"', "{}", '{"version": 0}', '{"version": true}', '{"version": "1"}',
     '{"version": 1}', '{"version": 1, "project": 5}', '{"version": 1, "project": NaN}',
     '{"version": 2}', '{"version": 1, "project": "x"}', '{"version": 1, "project": {}}',
     '{"version": 1, "project": {"buildings": 5}}',
     '{"version": 1, "project": {"buildings": "b"}}',
     '{"version": 1, "project": {"system": 1}}',
     "[" * 100_000, b"\xff\xfe{}"],
)  # fmt: skip
def test_wrong_json_is_refused(tmp_path: Path, text: str | bytes) -> None:
    assert "damaged" in refused(tmp_path, container({"project.json": text}))


def test_a_wrong_value_is_named_by_its_place(tmp_path: Path) -> None:
    project, _ = edits.new_section(default_project(), [(0, 0), (9000, 0), (0, 9000)])
    text = re.sub(r'"eave_height": [0-9.]+', '"eave_height": "high"', as_json(project))
    sentence = refused(tmp_path, container({"project.json": text}))
    assert "buildings[0].sections[0].eave_height" in sentence
    text = as_json(project).replace('"slope": 0.5', '"slope": -3.0', 1)
    sentence = refused(tmp_path, container({"project.json": text}))
    assert "edges[0].profile[0]" in sentence
    assert "pitch" in sentence


def test_an_unknown_field_comes_from_another_version(tmp_path: Path) -> None:
    text = as_json(default_project()).replace('"underlays"', '"overlays"')
    sentence = refused(tmp_path, container({"project.json": text}), NewerVersion)
    assert "written by another version" in sentence
    assert "'overlays'" in sentence
    assert "damaged" not in sentence


def test_a_newer_version_is_refused_and_says_so(tmp_path: Path) -> None:
    data = container({"project.json": as_json(house(), version=VERSION + 1)})
    assert "newer version" in refused(tmp_path, data, NewerVersion)


def test_a_missing_picture_is_refused(tmp_path: Path) -> None:
    assert "photo.png" in refused(tmp_path, container({"project.json": as_json(house())}))
    with pytest.raises(FileError, match=r"photo\.png"):
        encode_project(house(), {})


@pytest.mark.parametrize(
    "name", ["../evil.png", "pictures/../../evil.png", "/etc/evil", "pictures/a/b.png",
             "pictures/..", "pictures/", "pictures/c:evil.png", "pictures/a\\b.png"],
)  # fmt: skip
def test_names_that_leave_the_container_are_refused(tmp_path: Path, name: str) -> None:
    data = container({"project.json": as_json(default_project()), name: b"x"})
    assert "not opened" in refused(tmp_path, data)


def test_such_names_are_not_written_either() -> None:
    with pytest.raises(FileError, match="rename the picture"):
        encode_project(default_project(), {"../evil.png": b"x"})


def test_what_unpacks_to_far_too_much_is_refused(tmp_path: Path) -> None:
    bomb = container({"project.json": b" " * (70 * 2**20)})
    assert len(bomb) < 2**20
    assert "not opened" in refused(tmp_path, bomb)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path, word in ((tmp_path / "none.roof", "no file"), (tmp_path, "folder")):
        with pytest.raises(FileError, match=word) as caught:
            read_project(path)
        one_sentence(caught)
    for path, word in ((tmp_path / "no" / "a.roof", "no folder"), (tmp_path, "is a folder")):
        with pytest.raises(FileError, match=word) as caught:
            write_project(path, default_project(), {})
        one_sentence(caught)


def test_permission_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.roof"
    write_project(path, default_project(), {})

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(FileError, match="permission was refused"):
        read_project(path)
    with pytest.raises(FileError, match="permission was refused"):
        write_project(path, default_project(), {})


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_while_saving_keeps_the_original(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "a.roof"
    write_project(path, default_project("Before"), {})
    before = path.read_bytes()

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, step, fail)
    with pytest.raises(FileError, match="no space left") as caught:
        write_project(path, default_project("After"), {})
    one_sentence(caught)
    monkeypatch.undo()
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["a.roof"]


def test_an_interruption_while_saving_leaves_no_scraps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_project(tmp_path / "a.roof", default_project(), {})
    assert os.listdir(tmp_path) == []


def test_saving_through_a_link_keeps_the_link(tmp_path: Path) -> None:
    (tmp_path / "real.roof").write_bytes(b"old")
    (tmp_path / "link.roof").symlink_to("real.roof")
    write_project(tmp_path / "link.roof", default_project(), {})
    assert (tmp_path / "link.roof").is_symlink()
    assert read_project(tmp_path / "real.roof").project == default_project()


def test_what_is_no_number_is_not_saved() -> None:
    underlay = Underlay("u1", "photo.png", 4, 3, origin=(float("nan"), 0.0))
    project, _ = new_underlay(default_project(), underlay)
    with pytest.raises(FileError, match="cannot be saved"):
        encode_project(project, {"photo.png": png()})


def test_migrations_run_one_after_another() -> None:
    assert sorted(MIGRATIONS) == list(range(1, VERSION))
    steps = {1: lambda c: {**c, "a": 1}, 2: lambda c: {**c, "b": c["a"] + 1}}
    assert lift({"version": 1}, steps, 3) == {"version": 3, "a": 1, "b": 2}
    assert lift({"version": 2, "a": 5}, steps, 3) == {"version": 3, "a": 5, "b": 6}


def test_a_target_that_is_no_ordinary_file_is_left_alone(tmp_path: Path) -> None:
    """Putting a file in its place would destroy a pipe or a device."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(FileError, match="no ordinary file"):
        write_project(pipe, default_project(), {})
    assert pipe.is_fifo()
