"""Small parts of the paper kit: fitting words, flowing items, tables, scales."""

from __future__ import annotations

import io

import pytest
from reportlab.pdfgen.canvas import Canvas

from roofmodel.document import Job, Units
from roofmodel.sheets import Amount, Column, Table
from roofmodel.sheets.shop_types import CUT, SheetOutline, ShopSheet
from roofmodel_io.pdf.flow import Item, balanced, paged
from roofmodel_io.pdf.fonts import printable, shortened, width_of, wrapped
from roofmodel_io.pdf.page import Imprint, Page, pdf_of
from roofmodel_io.pdf.paper import Frame, frame_of, size_of
from roofmodel_io.pdf.sheets import fitted, placed
from roofmodel_io.pdf.tables import table_items
from roofmodel_io.pdf.writer import Writer
from tests.io.reading_pdf import read_pages, scale_of

FEET, METRIC = Units(), Units("metric")


def item(height: float, name: str = "", *, keep: bool = False, again: str = "") -> Item:
    repeated = (item(2.0, again),) if again else ()
    made = Item(height, lambda writer, left, top: None, again=repeated, keep=keep)
    NAMES[id(made)] = (made, name)
    return made


NAMES: dict[int, tuple[Item, str]] = {}


def named(pages: list[list[Item]]) -> list[str]:
    return [" ".join(NAMES[id(i)][1] for i in page) for page in pages]


def test_lines_are_no_wider_than_their_room_and_lose_no_word() -> None:
    text = "Valley metal from the lowest end up, laps sealed, Donaudampfschifffahrtsgesellschaft"
    lines = wrapped(text, 30.0, 8.0)
    assert all(width_of(line, 8.0) <= 30.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert wrapped("", 30.0, 8.0) == [""]


def test_lines_never_break_inside_a_length_or_an_amount() -> None:
    amounts = (
        "10'-6 1/2\"", "3 × 10'-6 1/2\"", "1 of 3", "± 1/8\"", ".509 in", "126.000 in", "3 1/2 in",
        "1 1/2\" = 1'-0\"", "26.6°", "1,250 mm", "12.5 lb", "6/12",
    )  # fmt: skip
    for amount in amounts:
        text = f"it laps the next one by ({amount}) and {amount}, so {amount} of it"
        for room in range(31, 80, 2):
            lines = wrapped(text, float(room), 8.0)
            assert all(width_of(line, 8.0) <= room for line in lines)
            assert sum(line.count(amount) for line in lines) == 3, lines
            assert " ".join(lines) == text  # read back, it is the same with ordinary blanks
    # one that is wider than the room is broken where it does least harm
    assert wrapped("3 × 10'-6 1/2\"", 17.0, 8.0) == ["3 ×", "10'-6 1/2\""]
    assert wrapped("3 × 10'-6 1/2\"", 12.0, 8.0) == ["3 ×", "10'-6", '1/2"']


def test_shortened_text_ends_with_dots_and_fits() -> None:
    short = shortened("a very long name of a very large house", 30.0, 8.0)
    assert short.endswith("…")
    assert width_of(short, 8.0) <= 30.0
    assert shortened("short", 30.0, 8.0) == "short"


def test_line_breaks_and_control_characters_are_blanks() -> None:
    assert printable("a\tb\n\x00c  d") == "a b c d"


def test_items_go_on_to_the_next_page_with_their_head() -> None:
    rows = [item(4.0, f"r{k}", again="head") for k in range(5)]
    assert named(paged(rows, 10.0)) == ["r0 r1", "head r2 r3", "head r4"]


def test_a_heading_stays_with_what_follows() -> None:
    some = [item(6.0, "a"), item(2.0, "h", keep=True), item(6.0, "b")]
    assert named(paged(some, 9.0)) == ["a", "h b"]


def test_balanced_columns_are_much_alike() -> None:
    made = balanced([item(3.0) for _ in range(10)], 3, 40.0)
    assert made.height == pytest.approx(12.0)


def test_tables_fit_their_room_whatever_stands_in_them() -> None:
    long = "words without an end " * 8
    table = Table(
        "Wide",
        (Column("Name"), Column("Length", "mm"), Column("Empty"), Column("Note")),
        (("a", Amount(3048.0, "mm"), "", long), ("b", Amount(1524.0, "mm"), "", long)),
        ("Total", Amount(4572.0, "mm"), "", ""),
    )
    room = frame_of(size_of("letter", wide=False)).width
    items = table_items(table, FEET, room)

    def draw(writer: Writer, frame: Frame) -> None:
        top = frame.top
        for one in items:
            one.draw(writer, frame.left, top)
            top -= one.height

    pages = [Page("Wide", size_of("letter", wide=False), draw)]
    (page,) = read_pages(pdf_of(pages, Imprint(Job("Job"), "a.pdf"), "a"))
    assert page.outside(12.6) == []
    assert page.overlapping() == []
    assert {"10'-0\"", "5'-0\"", "15'-0\""} <= set(page.words)
    assert "Empty" not in page.words


def test_text_wider_than_its_room_is_squeezed_then_cut() -> None:
    canvas = Canvas(io.BytesIO(), invariant=1)
    Writer(canvas).text((20.0, 20.0), "an outline of a very long name", 8.0, room=30.0)
    canvas.showPage()
    (page,) = read_pages(canvas.getpdfdata())
    (text,) = page.texts
    left, _, right, _ = text.box.bounds
    assert right - left <= 30.0
    assert text.text.endswith("…")


@pytest.mark.parametrize(
    ("units", "room", "scale"),
    [(FEET, (200.0, 150.0), 64.0), (FEET, (60.0, 60.0), 384.0), (METRIC, (200.0, 150.0), 75.0)],
)
def test_largest_usual_scale_that_fits(
    units: Units, room: tuple[float, float], scale: float
) -> None:
    """40 by 24 ft is 12192 by 7315 mm: 200 mm want 1:61 or smaller, 60 mm 1:203."""
    drawn = fitted(_house, (12192.0, 7315.2), room, units)
    assert drawn is not None
    assert drawn.scale == scale  # 3/16 in, 1/32 in to the foot; 1:75


def test_what_does_not_fit_at_all_has_no_scale() -> None:
    assert fitted(_house, (12192.0, 7315.2), (5.0, 5.0), FEET) is None


def test_a_tall_drawing_takes_an_upright_page() -> None:
    tall = placed("Tall", lambda s: _box(7315.2, 12192.0, s), (7315.2, 12192.0), "letter", FEET)
    wide = placed("Wide", _house, (12192.0, 7315.2), "letter", FEET)
    assert tall.size[0] < tall.size[1]
    assert wide.size[0] > wide.size[1]
    assert tall.sheet.scale == wide.sheet.scale == 64.0


@pytest.mark.parametrize(
    ("words", "scale"),
    [('1/4" = 1\'-0"', 48.0), ('1 1/2" = 1\'-0"', 8.0), ('3" = 1\'-0"', 4.0), ("1:75", 75.0)],
)
def test_words_of_scales(words: str, scale: float) -> None:
    assert scale_of(words) == scale


def _house(scale: float) -> ShopSheet:
    return _box(12192.0, 7315.2, scale)


def _box(wide: float, high: float, scale: float) -> ShopSheet:
    outline = SheetOutline(CUT, ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
    return ShopSheet("box", "Box", "panel shapes", scale, (), (), (outline,))
