"""What changed since a revision: every row by hand, and what is said of the earlier drawings."""

from __future__ import annotations

import math

import msgspec
import pytest

from roofmodel.document import Units
from roofmodel.document.releases import Release, ReleasedPiece, differences, released
from roofmodel.results import results_of
from roofmodel.sheets.changed_since import (
    Since,
    change_rows,
    changes_notes,
    changes_table,
    drawing_words,
    marks_words,
    since_of,
)
from roofmodel.sheets.types import Amount
from roofmodel.shop.pieces import released_pieces
from roofmodel.units import format_length
from roofmodel_io.booklet import booklet_pdf
from roofmodel_io.pdf.paper import MARGIN
from roofmodel_io.shop_lists import changes_csv
from roofmodel_io.shop_package import shop_job
from tests.io.reading_pdf import read_pages
from tests.shop.shops import MAIN, job
from tests.shop.test_marks import after, barn, freeze
from tests.shop.test_panel_shapes import shop_of

FEET, METRIC = Units(), Units("metric")
PANEL = ReleasedPiece(
    "panel", "South 1 - 1", "ribbed", 3048.0, 952.5, (0, 0, 952.5, 0, 952.5, 3048, 0, 3048)
)
CAP = ReleasedPiece(
    "trim", "Ridge cap on Ridge 1, piece 1 of 2", "ridge cap", 3200.4, 329.7,
    (0, 0, 329.7, 0, 329.7, 3200.4, 0, 3200.4), (-53.1,), gauge="24 ga", thickness=0.7,
    hems="closed down 12.7 0.0; none", drawing="Ridge cap 1",
)  # fmt: skip


def said(was: ReleasedPiece, units: Units = FEET, **change: object) -> tuple[str, str]:
    (row,) = change_rows(differences((was,), (msgspec.structs.replace(was, **change),)), units)
    return row.was, row.now


def test_a_barn_four_feet_longer_by_hand() -> None:
    """30 ft of barn become 34 ft: panels of 36 in go from 10 a side to 11 and a third of one.

    Its eaves are 360 in: two whole lengths of 126 in, each lapped by 2 in, and 360 - 2 · 124 =
    112 in; 408 in are three whole ones and 408 - 3 · 124 = 36 in. Its ridge cap is turned down
    2 in at both gables and lapped by 4 in: 364 - 2 · 122 = 120 in and 412 - 3 · 122 = 46 in.
    """
    first = shop_of(job(MAIN, barn(130)))
    second = after(freeze(first), job(MAIN, barn(134)))
    made = second.marked(0, "", 1)
    since = since_of(made)
    assert since is not None
    panel = format_length((120.0 * math.sqrt(1.25) + 0.5) * 25.4, FEET)
    cap, eave = "girth 12.981 in", "girth 6.091 in"
    both = "Eave 3; Eave 4"
    rows = [(r.change, r.marks, r.count, r.was, r.now, r.where)
            for r in change_rows(since.found, FEET)]  # fmt: skip
    assert rows == [
        ("changed", "South 2 - 10; North 2 - 10", 2,
         "cut to a width of 3'-0\"", "cut to a width of 3'-1 1/2\"", ""),
        ("added", "South 2 - 11; North 2 - 11", 2, "", f"length {panel}", ""),
        ("added", "South 2 - 12; North 2 - 12", 2, "",
         f"length {panel}, cut to a width of 1'-0\"", ""),
        ("removed", "Eave drip edge 3", 2, f"length 9'-4\", {eave}", "", both),
        ("added", "Eave drip edge 1", 2, "", f"length 10'-6\", {eave}", both),
        ("added", "Eave drip edge 4", 2, "", f"length 3'-0\", {eave}", both),
        ("removed", "Ridge cap 4", 1, f"length 10'-0\", {cap}", "", "Ridge 2"),
        ("added", "Ridge cap 2", 1, "", f"length 10'-6\", {cap}", "Ridge 2"),
        ("added", "Ridge cap 5", 1, "", f"length 3'-10\", {cap}", "Ridge 2"),
    ]  # fmt: skip
    notes = changes_notes(since)
    assert notes[0].startswith("Compared with revision 1 of 2026-03-01.")
    assert notes[1:-1] == (
        "Drawings of trim of revision 1 that still hold: Rake trim 1 to 6; Eave drip edge 1, 2;"
        " Ridge cap 1 to 3.",
        "Not wanted any more, cut nothing by them: Eave drip edge 3; Ridge cap 4.",
        "New drawings: Eave drip edge 4; Ridge cap 5.",
        "Hold for another number of pieces: Eave drip edge 1: 12 instead of 10;"
        " Ridge cap 2: 4 instead of 3.",
    )
    table = changes_table(since, FEET)
    assert table.title == "Changed since revision 1"
    assert table.rows[0][2] == Amount(2, "count")
    csv = changes_csv(made)
    assert csv is not None
    assert csv.splitlines()[0] == "Change,Mark or drawing,Pieces,Was,Is now,For"
    assert len(csv.splitlines()) == 10


def test_a_released_revision_tells_what_changed_from_the_one_before() -> None:
    first = shop_job(results_of(freeze(shop_of(job(MAIN, barn(130))))))
    assert (first.revision, since_of(first)) == (1, None)
    assert changes_csv(first) is None
    two = after(first.project, job(MAIN, barn(134)))
    results = results_of(released(two.project, released_pieces(two), "2026-03-09"))
    second = shop_job(results)
    assert (second.revision, second.changed_since) == (2, 0)
    since = since_of(second)
    assert since is not None
    assert since.release.number == 1
    pages = read_pages(booklet_pdf(results, revision=2, date="2026-03-09"))
    titles = [p.words[0] for p in pages]
    at = titles.index("Changed since revision 1")
    assert all(t.startswith("Shop and crew booklet") for t in titles[:at])
    assert "Changed since revision 1" in pages[0].words  # the list of sheets
    assert pages[at].overlapping() == []
    assert pages[at].outside(MARGIN - 0.1) == []
    text = " ".join(pages[at].words)
    for words in ("Eave drip edge 4", "still hold", "cut to a width of 3'-0\""):
        assert words in text


def test_both_values_are_said_in_words() -> None:
    length = "length 10'-6\"", "length 9'-2\""
    assert said(CAP, length=2794.0) == length
    assert said(PANEL, METRIC, length=3073.4) == ("length 3048 mm", "length 3073 mm")
    # a tape would show the same twice
    assert said(PANEL, length=3048.6) == ("length 120.000 in", "length 120.024 in")
    assert said(CAP, bends=(-45.0,)) == ("bend 53.1° down", "bend 45.0° down")
    assert said(CAP, bends=(-53.1, 90.0)) == ("1 bend", "2 bends")
    assert said(CAP, width=355.1) == ("girth 12.980 in", "girth 13.980 in")
    assert said(CAP, gauge="26 ga", thickness=0.55) == (
        ".0276 in thick, 24 ga", ".0217 in thick, 26 ga"
    )  # fmt: skip
    hems = "closed down 12.7 0.0; closed down 12.7 0.0"
    was, now = said(CAP, hems=hems)
    assert was == "hems: closed .500 in down at first border"
    assert now == f"{was}; closed .500 in down at second border"
    colour = msgspec.structs.replace(PANEL, colour="")
    assert said(colour, colour="Slate blue") == ("no colour chosen", "colour Slate blue")
    weight = msgspec.structs.replace(PANEL, sheet=5.644086)
    assert said(weight, METRIC, sheet=4.4239)[1] == "sheet of 4.424 kg per m²"
    assert said(weight, sheet=4.4239)[0] == "sheet of 1.156 lb per sq ft"


def test_ends_are_said_by_their_sides() -> None:
    slanted = (0, 0, 952.5, 0, 952.5, 3048, 0, 2743.2)
    assert said(PANEL, corners=slanted) == ("left side 10'-0\"", "left side 9'-0\"")
    notched = (0, 0, 952.5, 0, 952.5, 3048, 500, 3048, 500, 2900, 400, 2900, 400, 3048, 0, 3048)
    assert said(PANEL, corners=notched) == ("4 corners", "8 corners")
    lower = (0, 0, 952.5, 0, 952.5, 3048, 500, 3048, 500, 2800, 400, 2800, 400, 3048, 0, 3048)
    cut = msgspec.structs.replace(PANEL, corners=notched)
    assert said(cut, corners=lower) == ("ends of its earlier drawing", "other ends")
    other = (0, 0, 329.7, 0, 329.7, 2794.0, 0, 2700.0)
    now = "length 9'-2\", other end cuts"
    assert said(CAP, length=2794.0, corners=other) == ("length 10'-6\"", now)


def test_pieces_that_go_elsewhere_are_one_row() -> None:
    two = msgspec.structs.replace(CAP, mark="Ridge cap on Ridge 1, piece 2 of 2")
    moved = [
        msgspec.structs.replace(p, mark=p.mark.replace("Ridge 1", "Ridge 3")) for p in (CAP, two)
    ]
    (row,) = change_rows(differences((CAP, two), moved), FEET)
    assert (row.change, row.marks, row.count) == ("moved", "Ridge cap 1", 2)
    assert (row.was, row.now) == ("2 × Ridge 1", "2 × Ridge 3")
    panels = [msgspec.structs.replace(PANEL, mark=f"South 1 - {k}") for k in (1, 2, 3, 4)]
    # another one first: all others go one further
    first = msgspec.structs.replace(PANEL, length=2000.0)
    later = [first, *(msgspec.structs.replace(PANEL, mark=f"South 1 - {k}") for k in (2, 3, 4, 5))]
    rows = change_rows(differences(panels, later), FEET)
    assert [(r.change, r.marks, r.was) for r in rows] == [
        ("added", "South 1 - 1", ""),
        ("moved", "South 1 - 5", "South 1 - 1"),
    ]


def test_a_release_without_names_is_told_by_edges() -> None:
    old = msgspec.structs.replace(CAP, drawing=None)
    shorter = msgspec.structs.replace(CAP, length=2794.0, drawing="Ridge cap 1")
    (row,) = change_rows(differences((old,), (shorter,)), FEET)
    assert row.marks == "Ridge cap on Ridge 1, now Ridge cap 1"
    first = shop_of(job(MAIN, barn(130)))
    bare = [msgspec.structs.replace(p, drawing=None) for p in released_pieces(first)]
    project = released(first.project, bare, "2026-03-01")
    since = since_of(after(project, job(MAIN, barn(134))).marked(0, "", 1))
    assert since is not None
    assert "Revision 1 did not keep the names of its drawings of trim." in changes_notes(since)


def test_without_trim_nothing_is_said_of_its_drawings() -> None:
    release = Release(1, "2026-03-01", (PANEL,))
    longer = msgspec.structs.replace(PANEL, length=3073.4)
    since = Since(release, differences((PANEL,), (longer,)), (longer,))
    assert [note.split()[0] for note in changes_notes(since)] == ["Compared", "Layouts,"]


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], ""),
        (["Hip cap 2"], "Hip cap 2"),
        (["Hip cap 1", "Eave 3", "Hip cap 2", "Hip cap 3"], "Hip cap 1 to 3; Eave 3"),
        (["Ridge cap", "Ridge cap 2"], "Ridge cap; Ridge cap 2"),
    ],
)
def test_names_of_drawings_are_written_short(names: list[str], words: str) -> None:
    assert drawing_words(names) == words


def test_marks_that_are_no_panels_numbers_stand_as_they_are() -> None:
    assert marks_words(["Tower", "South 1 - 2", "South 1 - 3 (2)"]) == (
        "Tower; South 1 - 2; South 1 - 3 (2)"
    )
