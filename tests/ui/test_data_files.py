"""Rolls and rules, and sections of trim, from files of the user."""

from __future__ import annotations

from collections.abc import Callable
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


def no_ridge_cap(text: str) -> str:
    """Its table is gone."""
    begin = text.index('[parts."ridge cap"]')
    return text[:begin] + text[text.index("[parts.", begin + 1) :]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (no_ridge_cap, "no cross-section for the part 'ridge cap'"),
        (
            lambda text: text.replace("width = 0.375", "width = 4.0"),
            "'eave drip edge' runs into itself",
        ),
        (
            lambda text: text.replace('"first side", length = 6.0', '"first side", length = 60.0'),
            "'ridge cap' is 5'-7\" wide before it is bent, and the widest coil for trim 4'-0\"",
        ),
        (
            lambda text: text.replace("folds = [20.0, 90.0]", "folds = [70.0, 90.0]", 1),
            "there, and the part 'eave drip edge' is made for 70.0° to 90.0°",
        ),
    ],
    ids=["none", "too much hem", "too wide", "other folds"],
)
def test_sections_that_this_roof_cannot_have_are_told_and_taken(
    folder: Path, house: MainWindow, spoil: Callable[[str], str], words: str
) -> None:
    said: list[tuple[str, bool]] = []
    house.session.message.connect(lambda text, error: said.append((text, error)))
    place = folder / "parts.toml"
    text = place.read_text("utf-8")
    place.write_text(spoil(text), "utf-8")
    assert place.read_text("utf-8") != text
    before = house.session.project
    assert load(house.session, place, "parts")
    ((sentence, is_error),) = said
    assert is_error
    assert words in sentence
    assert sentence.endswith(".")
    assert house.session.project.parts != before.parts
    house.show_stage("Hand over")
    panel = house.side._hand_over.get()
    assert words in panel._problems.text()
    house.session.undo_stack.undo()
    assert house.session.project is before
    assert words not in panel._problems.text()


def test_sections_as_they_come_are_taken_without_a_word(folder: Path, house: MainWindow) -> None:
    said: list[tuple[str, bool]] = []
    house.session.message.connect(lambda text, error: said.append((text, error)))
    place = folder / "parts.toml"
    place.write_text(place.read_text("utf-8").replace("length = 6.0", "length = 6.5"), "utf-8")
    assert load(house.session, place, "parts")
    ((sentence, is_error),) = said
    assert not is_error
    assert "No package" not in sentence
