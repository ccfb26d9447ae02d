"""Price books as TOML: read, written, and what is said of wrong ones."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.document.offer_edits import set_prices
from roofmodel.document.work import OVERS
from roofmodel.document.work_edits import set_extra, set_ice_barrier, set_old_roof
from roofmodel.errors import FileError
from roofmodel.quoting import price_of
from roofmodel.results import results_of
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.prices_toml import parse_prices, prices_text, read_prices, sample_prices
from roofmodel_io.project_file import read_project

GOOD = """
name = "Ours"
hourly = 52.50
overhead = 0.12
margin = 0.25
tax = 0.0625
[prices]
"panel screw" = { unit = "pack", price = 21.75 }
[tasks]
"lay panels" = { per = "panel squares", hours = 1.4, systems = ["ribbed_panel"] }
[colours]
"Forest green" = { shade = "#31513a", factor = 1.02 }
"""


def test_money_is_exact() -> None:
    book = parse_prices(GOOD, "ours.toml")
    assert book.prices[0].price == Decimal("21.75")
    assert book.tasks[0].hours == Decimal("1.4")
    assert (book.tax, book.tax_on, book.sample) == (Decimal("0.0625"), "materials", False)


def test_written_and_read_again_it_is_the_same(tmp_path: Path) -> None:
    for book in (parse_prices(GOOD, "ours.toml"), sample_prices()):
        place = tmp_path / "again.toml"
        place.write_text(prices_text(book), encoding="utf-8")
        assert read_prices(place) == book


def test_the_sample_says_that_it_is_invented() -> None:
    assert sample_prices().sample
    assert "invented" in sample_prices().name


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "21.75",
            '"dear"',
            "the key 'prices.panel screw.price' is wrong; it must be an amount of",
        ),
        ("21.75", "-1.0", "the key 'prices.panel screw.price' is wrong"),
        (
            '"pack"',
            '"bag"',
            "the key 'prices.panel screw.unit' is wrong; it must be one of 'each'",
        ),
        ("margin = 0.25", "margin = 1.0", "the key 'margin' is wrong"),
        ("margin = 0.25", "", "the key 'margin' is missing"),
        ("hours = 1.4", "hour = 1.4", "'tasks.lay panels.hour' is unknown; did you mean 'hours'?"),
        ('"panel squares"', '"feet"', "the key 'tasks.lay panels.per' is wrong"),
        ("#31513a", "green", "needs a name and a shade like #4a6b52"),
        ("[prices]", "[prices", "this is not valid TOML (Expected ']'"),
        ("[tasks]", "[prices]\n[tasks]", "this is not valid TOML (Cannot declare"),
        ("0.0625", "nan", "the key 'tax' is wrong"),
        ("0.0625", "true", "the key 'tax' is wrong"),
    ],
)
def test_one_sentence_on_a_wrong_book(old: str, new: str, words: str) -> None:
    text = GOOD.replace(old, new, 1)
    assert text != GOOD
    with pytest.raises(FileError) as caught:
        parse_prices(text, "ours.toml")
    sentence = str(caught.value)
    assert sentence.startswith("ours.toml: ")
    assert words in sentence
    assert "\n" not in sentence


_SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))


@pytest.mark.parametrize("place", _SAMPLES, ids=lambda p: p.stem)
def test_the_sample_book_prices_whatever_the_samples_need(place: Path) -> None:
    project = set_prices(read_project(place).project, sample_prices())
    for extra in project.layers.extras:
        project = set_extra(project, extra.key)
    for system in built_in_systems():
        covered = cover_job(put_system(project, system), system.id)
        for over in OVERS:
            job = set_ice_barrier(set_old_roof(covered, over=over, deck_share=0.1), on=True)
            found = price_of(results_of(job, planner=None))
            assert found is not None
            assert found.missing == ()
            assert found.price > 0
            assert any(li.key == f"panel:{system.id}" for li in found.lines)
