"""The package for the shop: whole or not at all, replaced as a whole, stopped without a trace."""

from __future__ import annotations

import csv
import errno
import io
import zipfile
from pathlib import Path

import msgspec
import pytest
from ezdxf.filemanagement import readfile

from roofmodel.document.releases import released
from roofmodel.errors import FileError
from roofmodel.results import Results, results_of
from roofmodel.shop.pieces import released_pieces
from roofmodel_io.booklet import BOOKLET_NAME
from roofmodel_io.folders import CONTENTS, MARK, FolderWriter, plain_name, staging_of, write_folder
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.shop_lists import cut_list_xlsx
from roofmodel_io.shop_package import CHANGES_CSV_NAME, shop_job, write_shop_package
from tests.io.reading_pdf import read_pages
from tests.shop.shops import HIP, MAIN, job


class Stopped(Exception):
    pass


@pytest.fixture(scope="module")
def results() -> Results:
    return results_of(job(HIP))


def no_picture() -> bytes:
    """A white point as PNG."""
    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (2, 2), "white").save(stream, "png")
    return stream.getvalue()


def found(folder: Path) -> set[str]:
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


def test_everything_is_written(results: Results, tmp_path: Path) -> None:
    out = tmp_path / "new" / "package"
    told: list[tuple[int, int, str]] = []
    done = write_shop_package(
        out, results, no_picture, report=lambda n, count, words: told.append((n, count, words))
    )
    assert found(out) == set(done.files)
    mark, *rows = (out / CONTENTS).read_text("utf-8").splitlines()
    assert mark == MARK
    assert {r.split(" ", 2)[2] for r in rows} == set(done.files) - {CONTENTS}
    names = set(done.files)
    assert {"roof_plan.dxf", "cut_list.csv", "cut_list.xlsx", CONTENTS} < names
    assert {"trim_list.csv", "slitting_plan.csv", "trim_metal.csv"} < names
    assert [s.partition(":")[0] for s in done.slit] == ["Trim to slit"]
    assert sum(n.endswith(".pdf") for n in names) == 1
    assert {n for n in names if n.startswith("layouts/")} == {
        f"layouts/{side}_1.dxf" for side in ("South", "North", "East", "West")
    }
    assert "trim_sections/Ridge_cap.dxf" in names
    assert "trim_blanks/Hip_cap_1.dxf" in names
    assert done.drawings == sum(n.endswith(".dxf") for n in names)
    for name in names:
        if name.endswith(".dxf"):
            assert not readfile(out / name).audit().errors
    counts = {count for _, count, _ in told[1:]}
    assert len(counts) == 1
    assert [n for n, _, _ in told[1:]] == sorted(n for n, _, _ in told[1:])
    assert told[-1][0] == told[-1][1]
    assert [p.name for p in out.parent.iterdir()] == ["package"]


def test_the_same_project_gives_the_same_files(results: Results, tmp_path: Path) -> None:
    for name in "ab":
        write_shop_package(tmp_path / name, results, no_picture)
    for name in found(tmp_path / "a"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes(), name


def test_an_earlier_package_is_replaced_as_a_whole(results: Results, tmp_path: Path) -> None:
    out = tmp_path / "package"
    write_shop_package(out, results_of(job(MAIN)), no_picture)
    before = found(out)
    done = write_shop_package(out, results, no_picture)
    assert found(out) == set(done.files) != before
    assert [p.name for p in tmp_path.iterdir()] == ["package"]


def test_a_folder_with_other_files_is_left_alone(results: Results, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    with pytest.raises(FileError, match=r"holds other files \('letter\.txt'\)"):
        write_shop_package(tmp_path, results, no_picture)
    assert found(tmp_path) == {"letter.txt"}


def test_stopping_leaves_nothing(results: Results, tmp_path: Path) -> None:
    """After every step."""
    steps: list[str] = []
    write_shop_package(
        tmp_path / "all", results, no_picture, report=lambda n, c, words: steps.append(words)
    )
    (tmp_path / "kept").mkdir()
    for stop in range(0, len(steps), 7):
        seen = [0]

        def report(
            done: int, count: int, words: str, stop: int = stop, seen: list[int] = seen
        ) -> None:
            seen[0] += 1
            if seen[0] > stop:
                raise Stopped

        with pytest.raises(Stopped):
            write_shop_package(tmp_path / "out", results, no_picture, report=report)
        assert sorted(p.name for p in tmp_path.iterdir()) == ["all", "kept"]


def test_stopping_keeps_the_earlier_package(results: Results, tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_shop_package(out, results, no_picture)
    before = {name: (out / name).read_bytes() for name in found(out)}

    def report(done: int, count: int, words: str) -> None:
        if done > 5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_shop_package(out, results_of(job(MAIN)), no_picture, report=report)
    assert {name: (out / name).read_bytes() for name in found(out)} == before
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_full_disk_is_one_sentence_and_leaves_nothing(
    results: Results, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: Path, data: bytes) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(FileError, match=r"no space left on device.*nothing was written"):
        write_shop_package(tmp_path / "new" / "out", results, no_picture)
    monkeypatch.undo()
    assert not list(tmp_path.iterdir())


def test_places_where_no_folder_can_be(results: Results, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    for bad, words in (("file", "cannot be made"), ("file/inside", "cannot be made")):
        with pytest.raises(FileError, match=words):
            write_shop_package(tmp_path / bad, results, no_picture)
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_part_without_a_cross_section_stops_it(tmp_path: Path) -> None:
    few = tuple(p for p in built_in_parts() if p.name != "hip cap")
    poor = results_of(msgspec.structs.replace(job(HIP), parts=few))
    with pytest.raises(FileError, match="no cross-section for the part 'hip cap'"):
        write_shop_package(tmp_path / "out", poor, no_picture)
    assert not list(tmp_path.iterdir())


def test_what_is_done_last_may_stop_it(results: Results, tmp_path: Path) -> None:
    def refuse() -> None:
        raise FileError("no")

    with pytest.raises(FileError, match="no"):
        write_shop_package(tmp_path / "out", results, no_picture, settle=refuse)
    assert not list(tmp_path.iterdir())


def test_sheets_say_which_revision_they_are_of(results: Results) -> None:
    plain = shop_job(results)
    assert (plain.revision, plain.date, plain.changed_since) == (0, "", 0)
    project = released(results.project, released_pieces(plain), "2026-03-01")
    same = shop_job(results_of(project))
    assert (same.revision, same.date) == (1, "2026-03-01")
    other = msgspec.structs.replace(job(MAIN), releases=project.releases)
    changed = shop_job(results_of(other))
    assert (changed.revision, changed.date, changed.changed_since) == (0, "", 1)


def test_the_workbook_has_its_three_sheets(results: Results) -> None:
    data = cut_list_xlsx(shop_job(results))
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        book = box.read("xl/workbook.xml").decode()
        texts = box.read("xl/sharedStrings.xml").decode()
    for name in ("Roll forming", "Bundles", "Trim"):
        assert f'name="{name}"' in book
    assert "A bundle weighs up to 2000 lb" in texts
    assert "2000 lb in one lift: common practice, no source" in texts
    assert "South 1 - " in texts


def test_the_workbook_lists_what_changed_since_the_release(results: Results) -> None:
    project = released(results.project, released_pieces(shop_job(results)), "2026-03-01")
    other = msgspec.structs.replace(job(MAIN), releases=project.releases)
    data = cut_list_xlsx(shop_job(results_of(other)))
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        assert 'name="Changed since revision 1"' in box.read("xl/workbook.xml").decode()
        texts = box.read("xl/sharedStrings.xml").decode()
    assert "Compared with revision 1 of 2026-03-01." in texts
    for word in ("added", "removed", "changed", "moved"):
        assert f">{word}<" in texts


def test_the_package_of_a_change_tells_it(results: Results, tmp_path: Path) -> None:
    project = released(results.project, released_pieces(shop_job(results)), "2026-03-01")
    write_shop_package(tmp_path / "one", results_of(project), no_picture)
    changed = results_of(msgspec.structs.replace(job(MAIN), releases=project.releases))
    write_shop_package(tmp_path / "not released", changed, no_picture)
    two = released(changed.project, released_pieces(shop_job(changed)), "2026-03-09")
    done = write_shop_package(tmp_path / "two", results_of(two), no_picture)
    assert done.revision == 2
    assert not (tmp_path / "one" / CHANGES_CSV_NAME).exists()
    lists = [(tmp_path / name / CHANGES_CSV_NAME).read_bytes() for name in ("not released", "two")]
    assert lists[0] == lists[1]
    rows = list(csv.DictReader(io.StringIO(lists[1].decode("utf-8-sig"))))
    assert {"removed", "changed", "added"} <= {row["Change"] for row in rows}
    for name, is_told in (("one", False), ("not released", True), ("two", True)):
        pages = read_pages((tmp_path / name / BOOKLET_NAME).read_bytes())
        assert any(p.words[0] == "Changed since revision 1" for p in pages) is is_told
    # the hips are gone: so are their drawings, and every name that stays is of one shape
    gone = {row["Mark or drawing"] for row in rows if row["Change"] == "removed"}
    assert {"Hip cap 1", "Hip cap 2"} <= gone
    blanks = [{p.stem for p in (tmp_path / n / "trim_blanks").iterdir()} for n in ("one", "two")]
    assert "Hip_cap_1" in blanks[0] - blanks[1]


def test_the_cut_list_says_lengths_twice(results: Results, tmp_path: Path) -> None:
    write_shop_package(tmp_path / "out", results, no_picture)
    text = (tmp_path / "out" / "cut_list.csv").read_text("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert sum(int(r["Quantity"]) for r in rows) == 44
    first = rows[0]
    assert (first["Plane"], first["Marks"]) == ("South 1", "South 1 - 1")
    assert float(first["Length (in)"]) == pytest.approx(41.9263, abs=1e-4)
    assert first["Length on a tape"] == "3'-5 7/8\""
    assert first["Upper end"] == "48.2° up to the right"


def test_names_that_every_system_takes() -> None:
    assert plain_name('A/B:C*"1/2"') == "A_B_C_1_2"
    assert plain_name("...") == "sheet"
    assert plain_name("Hip cap", ["hip_cap"]) == "Hip_cap_2"
    assert plain_name("x" * 300) == "x" * 120


def test_folders_of_others_beside_it_stay(tmp_path: Path) -> None:
    target = tmp_path / "out"
    other = staging_of(target, "other")
    other.mkdir()

    def fill(writer: FolderWriter) -> None:
        writer.put("a/b.txt", b"1")

    assert write_folder(target, fill, "mine").files == ("a/b.txt", CONTENTS)
    assert other.is_dir()
    assert not staging_of(target, "mine").exists()
