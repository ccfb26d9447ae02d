"""The trim list: every blank once, by its mark, in the order it lies along its edge."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter

import msgspec
import numpy as np
import pytest

from roofmodel.results import results_of
from roofmodel.sheets.slitting import part_of
from roofmodel.sheets.trim_places import trim_places_table
from roofmodel.sheets.types import Amount
from roofmodel.shop.job import ShopJob
from roofmodel_io.shop_lists import trim_places_csv
from tests.houses import GABLE, RECTANGLE, section
from tests.shop.shops import L_HOUSE, MAIN, SYSTEMS, WING, job

Row = dict[str, object]


def made(*parts: object, system: str = "ribbed_panel") -> ShopJob:
    done = results_of(job(*parts, system=SYSTEMS[system]))  # type: ignore[arg-type]
    return ShopJob(done.project, done.surface, done.take_off)


def rows_of(one: ShopJob) -> list[Row]:
    table = trim_places_table(one)
    titles = [c.title for c in table.columns]
    assert all(len(row) == len(titles) for row in (*table.rows, table.total or ()))
    return [dict(zip(titles, row, strict=True)) for row in table.rows]


def marks(words: str) -> list[str]:
    """The names that a cell stands for, in order."""
    if found := re.fullmatch(r"(\d+) × (.*)", words):
        return int(found[1]) * [found[2]]
    first, *more = words.split(", ")
    part, _ = part_of(first)
    return [first, *(f"{part} {n}" for n in more)]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("house", [(MAIN, WING), (L_HOUSE,)])
def test_every_blank_has_its_place_once(house: tuple[object, ...], system: str) -> None:
    one = made(*house, system=system)
    rows = rows_of(one)
    assert len(rows) == len(one.take_off.trim)
    said: Counter[str] = Counter()
    for row in rows:
        some = marks(str(row["Marks in order"]))
        assert row["Pieces"] == Amount(len(some), "count")
        assert bool(row["From"]) == (len(some) > 1)
        said.update(some)
    assert said == {d.name: d.count for d in one.trim}


def test_the_order_is_from_the_end_that_is_named() -> None:
    # places in space: the blanks' own starts, projected on the way from the named end
    one = made(MAIN, WING)
    names = {b: d.name for d in one.trim for b in d.blanks}
    edges = {e.id: e for e in one.surface.edges}
    ways = {
        "the west end": (1, 0, 0), "the east end": (-1, 0, 0), "the south end": (0, 1, 0),
        "the north end": (0, -1, 0), "the lower end": (0, 0, 1),
    }  # fmt: skip
    seen = set()
    for row in rows_of(one):
        if not row["From"]:
            continue
        seen.add(str(row["From"]))
        way = np.array(ways[str(row["From"])])
        run = next(
            t for t in one.take_off.trim if (t.part, t.edge_name) == (row["Part"], row["Edge"])
        )
        edge = edges[run.edges[0]]
        along = (edge.end - edge.start) / edge.length
        along = along if along @ way > 0.0 else -along
        blanks = [b for b in one.blanks.blanks if b.run == run]
        # the first piece to be laid is whole; the last one has what remains
        assert [b.number for b in blanks] == sorted(b.number for b in blanks)
        given = marks(str(row["Marks in order"]))
        lengths = {names[b]: round(b.length, 3) for b in blanks}
        assert lengths[given[0]] >= lengths[given[-1]] - 1e-3
        assert Counter(given) == Counter(names[b] for b in blanks)
        assert abs(float(along @ way)) > 0.1
    assert {"the lower end", "the west end"} & seen


def test_ends_are_laid_where_they_belong() -> None:
    # a ridge of 40 ft: its turned-down ends are at the two gables, whole pieces between them
    one = made(section(RECTANGLE, (0.5, GABLE, 0.5, GABLE)))
    (row,) = [r for r in rows_of(one) if r["Part"] == "ridge cap"]
    given = marks(str(row["Marks in order"]))
    ends = {d.name: (d.blank.start.kind, d.blank.end.kind) for d in one.trim}
    kinds = ["turned down" in ends[name] for name in given]
    assert kinds == [True, *(len(given) - 2) * [False], True]


def test_the_file_has_the_table() -> None:
    one = made(L_HOUSE)
    rows = list(csv.DictReader(io.StringIO(trim_places_csv(one))))
    assert [r["Marks in order"] for r in rows] == [r["Marks in order"] for r in rows_of(one)]
    assert {r["Edge"] for r in rows} == {t.edge_name for t in one.take_off.trim}


def test_what_the_shop_does_not_make_is_told() -> None:
    one = made(MAIN)
    parts = tuple(p for p in one.project.parts if p.name != "ridge cap")
    done = results_of(msgspec.structs.replace(one.project, parts=parts))
    rows = rows_of(ShopJob(done.project, done.surface, done.take_off))
    (cap,) = [r for r in rows if r["Part"] == "ridge cap"]
    assert (cap["Marks in order"], cap["From"]) == ("ridge cap: no blank is made", "")
    assert cap["Pieces"] == Amount(4, "count")
