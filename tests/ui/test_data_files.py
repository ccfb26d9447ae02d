"""Rolls and rules, and sections of trim, from files of the user."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog

from roofmodel_ui.data_files import Kind, load
from roofmodel_ui.window import MainWindow
from tests.cli.test_commands import fails, run
from tests.ui.hands import settle


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    out = tmp_path / "data"
    done = run("data", out)
    assert done.returncode == 0, done.stderr
    assert "layers.toml" in done.stdout
    return out


def test_the_command_writes_what_can_be_edited(folder: Path) -> None:
    names = {p.name for p in folder.iterdir()}
    assert {"layers.toml", "parts.toml", "prices.toml", "ribbed_panel.toml"} <= names
    assert "already" in fails(1, "data", folder)


@pytest.mark.parametrize(
    ("kind", "name", "old", "new"),
    [
        ("layers", "layers.toml", "width = 48.0", "width = 60.0"),
        ("parts", "parts.toml", "length = 6.0", "length = 7.0"),
    ],
)
def test_a_file_is_taken_by_the_menu_and_undone(
    folder: Path,
    window: MainWindow,
    monkeypatch: pytest.MonkeyPatch,
    kind: Kind,
    name: str,
    old: str,
    new: str,
) -> None:
    place = folder / name
    place.write_text(place.read_text("utf-8").replace(old, new, 1), "utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(place), ""))
    before = getattr(window.session.project, kind)
    window.actions_by_id[f"load_{kind}"].trigger()
    settle()
    assert getattr(window.session.project, kind) != before
    window.session.undo_stack.undo()
    assert getattr(window.session.project, kind) == before


def test_a_wrong_file_gets_one_sentence(folder: Path, window: MainWindow) -> None:
    said: list[tuple[str, bool]] = []
    window.session.message.connect(lambda text, error: said.append((text, error)))
    place = folder / "layers.toml"
    text = place.read_text("utf-8").replace("width = 48.0", "width = 'wide'", 1)
    place.write_text(text, "utf-8")
    before = window.session.project
    assert not load(window.session, place, "layers")
    assert window.session.project is before
    ((sentence, is_error),) = said
    assert is_error
    assert sentence.startswith("layers.toml: the key")
