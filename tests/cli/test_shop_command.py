"""`roofmodel shop`: the package, releases, wrong input, Ctrl+C."""

from __future__ import annotations

import base64
import errno
import json
import os
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest
from ezdxf.filemanagement import readfile

from roofmodel.errors import FileError
from roofmodel_io.project_file import read_project

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_projects" / "alder_flat_ranch.roof"
LONG = ROOT / "sample_projects" / "fern_hill_manor.roof"


def surroundings() -> dict[str, str]:
    paths = os.pathsep.join(str(p) for p in (ROOT, ROOT / "ui", ROOT / "io"))
    return {**os.environ, "PYTHONPATH": paths}


def run(*words: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "roofmodel", *map(str, words)]
    return subprocess.run(
        command, capture_output=True, text=True, env=surroundings(), check=False, timeout=240
    )


@pytest.fixture
def own(tmp_path: Path) -> Path:
    path = tmp_path / "own.roof"
    path.write_bytes(SAMPLE.read_bytes())
    return path


def test_the_package_and_a_release(own: Path, tmp_path: Path) -> None:
    out = tmp_path / "deep" / "package"
    done = run("shop", own, "--out", out, "--release")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Revision 1 of ")
    assert "drawings, the cut lists and the booklet" in done.stdout
    assert done.stdout.count("Trim to slit: ") == 1
    plan = readfile(out / "roof_plan.dxf")
    assert len(plan.modelspace().query("LINE")) > 10
    sheet = readfile(out / "layouts" / "South_1.dxf")
    title = [t.dxf.text for t in sheet.modelspace().query("TEXT[layer=='NOTES']")]
    assert "Revision: 1" in title
    (release,) = read_project(own).project.releases
    assert release.count("panel") == 58
    # pressing on again changes nothing
    before = own.read_bytes()
    done = run("shop", own, "--out", out, "--release")
    assert done.stdout.startswith("Nothing has changed since revision 1 of ")
    assert own.read_bytes() == before


def test_a_part_with_a_missing_leg_is_one_sentence(own: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(own) as box:
        content = json.loads(box.read("project.json"))
    content["project"]["parts"] = json.loads(PARTS)
    with zipfile.ZipFile(own, "w") as box:
        box.writestr("project.json", json.dumps(content))
    done = run("shop", own, "--out", tmp_path / "out")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.count("\n") == 1
    assert "'ridge cap' has 1 legs and 1 bends" in done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["own.roof"]


PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAIAAAD91JpzAAAAFklEQVR4nGP8//8/AwMDEwMDAwMDAwAkBgMB/DXemwAAAABJRU5ErkJggg=="
)

PARTS = """[{"name": "ridge cap", "legs": [{"name": "first side", "length": 152.4,
"on": "first plane"}], "bends": [{"fixed": 0.0, "follows": 1.0}]}]"""


def test_bad_folders_and_papers(own: Path, tmp_path: Path) -> None:
    done = run("shop", own, "--out", tmp_path)
    assert done.returncode == 1
    assert "holds other files ('own.roof')" in done.stderr
    assert done.stderr.count("\n") == 1
    assert run("shop", own, "--out", tmp_path / "a", "--paper", "b5").returncode == 2
    assert sorted(p.name for p in tmp_path.iterdir()) == ["own.roof"]


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_control_c_leaves_nothing(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "roofmodel", "shop", str(LONG), "--out", str(tmp_path / "o")]
    process = subprocess.Popen(
        command,
        env=surroundings(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        end = time.monotonic() + 120.0
        while not list(tmp_path.glob(".o.*.part/layouts/*")) and time.monotonic() < end:
            time.sleep(0.02)
        process.send_signal(signal.SIGINT)
        out, error = process.communicate(timeout=60)
    finally:
        process.kill()
    assert (process.returncode, out) == (1, "")
    assert error == "Stopped; nothing was written.\n"
    assert not list(tmp_path.iterdir())


def test_a_release_that_cannot_be_written_leaves_project_and_package(
    own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full at the list of contents, the swap is refused, the project cannot be saved:
    neither the revision nor the new package is there."""
    from typer.testing import CliRunner

    import roofmodel_ui.shop_commands as shop_commands
    from roofmodel_ui.cli import app

    monkeypatch.setattr(shop_commands, "picture_of", lambda results: PICTURE)
    out = tmp_path / "package"
    out.mkdir()
    before = own.read_bytes()
    write, replace = Path.write_bytes, os.replace

    def full(self: Path, data: bytes) -> int:
        if self.name == "contents.txt":
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(self, data)

    def refused(source: str | Path, target: str | Path) -> None:
        if str(source).endswith(".part") and Path(source).is_dir():
            raise OSError(errno.ENOSPC, "No space left on device")
        replace(source, target)

    def unsaved(source: str | Path, target: str | Path) -> None:
        if Path(target).name == "own.roof":
            raise OSError(errno.ENOSPC, "No space left on device")
        replace(source, target)

    for owner, name, failing in (
        (Path, "write_bytes", full),
        (os, "replace", refused),
        (os, "replace", unsaved),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(owner, name, failing)
            with pytest.raises(FileError, match="no space left on device"):
                CliRunner().invoke(
                    app, ["shop", str(own), "--out", str(out), "--release"],
                    catch_exceptions=False,
                )  # fmt: skip
        assert own.read_bytes() == before
        assert not list(out.iterdir())
        assert sorted(p.name for p in tmp_path.iterdir()) == ["own.roof", "package"]
