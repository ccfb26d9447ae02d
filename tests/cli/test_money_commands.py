"""`roofmodel price`, `prices` and `sure` as their users run them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from msgspec.structs import replace

from roofmodel.document.offer_edits import set_prices
from roofmodel_io.prices_toml import read_prices, sample_prices
from roofmodel_io.project_file import read_project, write_project
from tests.cli.test_commands import ROOT, fails, run

SAMPLE = ROOT / "sample_projects" / "birch_corner_l_hip.roof"


def test_a_book_is_written_filled_in_and_priced_by(tmp_path: Path) -> None:
    book = tmp_path / "ours.toml"
    assert "all invented" in run("prices", book).stdout
    assert read_prices(book) == sample_prices()
    done = run("price", SAMPLE, "--book", book)
    assert done.returncode == 0, done.stderr
    for words in ("Panels: Ribbed panel", "Lay ribbed panels", "Price before tax", "invented"):
        assert words in done.stdout
    # dearer panels make a dearer job, and the price is the sum that is printed
    text = book.read_text(encoding="utf-8").replace("price = 3.45", "price = 6.90")
    book.write_text(text, encoding="utf-8")
    dearer = run("price", SAMPLE, "--book", book)
    assert _price(dearer.stdout) > _price(done.stdout)


def test_a_missing_price_is_said(tmp_path: Path) -> None:
    book = tmp_path / "ours.toml"
    run("prices", book)
    lines = book.read_text(encoding="utf-8").splitlines()
    kept = [li for li in lines if not li.startswith('"panel screw"')]
    book.write_text("\n".join(kept), encoding="utf-8")
    done = run("price", SAMPLE, "--book", book)
    assert done.returncode == 0, done.stderr
    assert "Without a price, and not in the sum: Panel screws" in done.stdout
    assert "NOT COMPLETE" in done.stdout


def test_wrong_books_get_one_sentence(tmp_path: Path) -> None:
    assert "no price book" in fails(1, "price", _without_book(tmp_path))
    wrong = tmp_path / "wrong.toml"
    wrong.write_text("name = 3\n", encoding="utf-8")
    assert "wrong.toml: the key 'name' is wrong" in fails(1, "price", SAMPLE, "--book", wrong)
    assert "none.toml" in fails(1, "price", SAMPLE, "--book", tmp_path / "none.toml")
    assert "folder" in fails(1, "prices", tmp_path)


def test_low_and_high_are_printed(tmp_path: Path) -> None:
    book = tmp_path / "ours.toml"
    run("prices", book)
    done = run("sure", SAMPLE, "--book", book)
    assert done.returncode == 0, done.stderr
    for words in ("Roof area", "Ridge, all", "Measure these first", "spread of the price"):
        assert words in done.stdout
    plain = run("sure", _without_book(tmp_path))
    assert "spread of the roof area" in plain.stdout


def _without_book(folder: Path) -> Path:
    project = set_prices(read_project(SAMPLE).project, None)
    write_project(folder / "bare.roof", replace(project, offers=()), {})
    return folder / "bare.roof"


def _price(output: str) -> Decimal:
    """The last amount of the line named Price."""
    rows = [li for li in output.splitlines() if li.strip(" │┃").startswith("Price  ")]
    return Decimal(rows[-1].split("│")[2].strip().replace(",", ""))
