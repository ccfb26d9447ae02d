"""Pages of PDF plans: sizes, sharp tiles, and what cannot be opened."""

from __future__ import annotations

import numpy as np
import pytest

from roofmodel.errors import FileError
from roofmodel_io.underlays.pages import FINEST, Page, page_sizes
from tests.io.underlays.files import pdf

LETTER, SHEET = (612.0, 792.0), (2592.0, 1728.0)


def test_sizes_of_all_pages() -> None:
    assert page_sizes(pdf(LETTER, SHEET), "plan.pdf").sizes == (LETTER, SHEET)
    page = Page(pdf(LETTER, SHEET), "plan.pdf", 1)
    assert (page.width, page.height, page.coarsest) == (2592, 1728, 3)


def black(page: Page, level: int, column: int, row: int) -> tuple[int, int, int, int] | None:
    """Left, top, right, bottom of the dark pixels of a tile."""
    tile = page.tile(level, column, row)
    assert tile is not None
    dark = np.asarray(tile)[..., 0] < 128
    if not dark.any():
        return None
    ys, xs = np.nonzero(dark)
    return int(xs.min()), int(ys.min()), int(xs.max()) + 1, int(ys.max()) + 1


def test_the_square_lies_where_it_was_drawn_at_every_size() -> None:
    page = Page(pdf(LETTER), "plan.pdf", 0)
    assert black(page, 0, 0, 0) == (72, 72, 144, 144)
    assert black(page, 1, 0, 0) == (36, 36, 72, 72)
    assert black(page, -2, 0, 0) == (288, 288, 512, 512)
    assert black(page, -2, 1, 1) == (0, 0, 64, 64)
    assert black(page, -2, 2, 0) is None
    left = 72 * 32 // 512  # the tile that holds the square's corner, 32 pixels a point
    assert black(page, FINEST, left, left) == (256, 256, 512, 512)


def test_tiles_end_with_the_page() -> None:
    page = Page(pdf(LETTER), "plan.pdf", 0)
    tile = page.tile(0, 1, 1)
    assert tile is not None
    assert tile.size == (100, 280)
    assert page.tile(0, 2, 0) is page.tile(0, 0, -1) is None


@pytest.mark.parametrize("data", [b"%PDF-1.7", b"%PDF-1.4\n%%EOF", pdf(LETTER)[:300]])
def test_damaged(data: bytes) -> None:
    with pytest.raises(FileError, match=r"'plan\.pdf' is damaged") as caught:
        page_sizes(data, "plan.pdf")
    assert str(caught.value).endswith(".")


def test_locked_by_a_password() -> None:
    with pytest.raises(FileError, match="password"):
        page_sizes(pdf(LETTER, password="secret"), "plan.pdf")


def test_no_such_page_and_no_plan() -> None:
    with pytest.raises(FileError, match="no page 3"):
        Page(pdf(LETTER, LETTER), "plan.pdf", 2)
    with pytest.raises(FileError, match="too small or too large"):
        Page(pdf((40_000.0, 100.0)), "plan.pdf", 0)
