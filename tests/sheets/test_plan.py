"""The roof plan as a drawing: true lengths beside edges, texts that keep apart."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely

from roofmodel.document import Project, edits
from roofmodel.results import results_of
from roofmodel.sheets import Drawing, DrawnText, plan_drawing
from roofmodel.sheets.plan import WIDTH_PER_HEIGHT
from roofmodel_io.defaults import default_project

FT = 304.8


def l_hip(turn: float = 0.0) -> Project:
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    corners = [(0, 0), (52, 0), (52, 28), (24, 28), (24, 50), (0, 50)]
    project, _ = edits.new_section(
        default_project(), [((c * x - s * y) * FT, (s * x + c * y) * FT) for x, y in corners]
    )
    return project


def box(text: DrawnText) -> shapely.Polygon:
    w, h = len(text.text) * text.height * WIDTH_PER_HEIGHT / 2, text.height / 2
    turn = math.radians(text.turn)
    c, s = math.cos(turn), math.sin(turn)
    corners = ((-w, -h), (w, -h), (w, h), (-w, h))
    return shapely.Polygon(
        [(text.at[0] + c * u - s * v, text.at[1] + s * u + c * v) for u, v in corners]
    )


@pytest.fixture(params=[0.0, 17.0, 90.0, 203.0], scope="module")
def project(request: pytest.FixtureRequest) -> Project:
    return l_hip(request.param)


@pytest.fixture(scope="module")
def drawing(project: Project) -> Drawing:
    return plan_drawing(results_of(project))


def test_every_edge_is_drawn_with_its_length(project: Project, drawing: Drawing) -> None:
    surface = results_of(project).surface
    assert {line.edge for line in drawing.lines} == {e.id for e in surface.edges}
    texts = {t.of: t.text for t in drawing.texts}
    for e in surface.edges:
        name, _, _ = texts[e.id].rpartition(": ")
        assert name in ("", e.name)  # it has none where there is no room
    named = [e for e in surface.edges if texts[e.id].startswith(e.name)]
    assert len(named) >= len(surface.edges) - 3
    hips = (texts[e.id].rpartition(": ")[2] for e in surface.edges if e.kind == "hip")
    assert sorted(hips) == [
        "18'-0\"", "18'-0\"", "21'-0\"", "21'-0\"", "21'-0\"", "3'-0\"",
    ]  # fmt: skip


def test_every_plane_is_named(project: Project, drawing: Drawing) -> None:
    for plane in results_of(project).surface.planes:
        words = ", ".join(t.text for t in drawing.texts if t.of == plane.id)
        assert words.startswith(f"{plane.name}, 6/12, ")
        assert words.endswith(" sq ft")


def test_texts_do_not_overlap(drawing: Drawing) -> None:
    for one, two in itertools.combinations(drawing.texts, 2):
        assert not box(one).intersects(box(two)), (one.text, two.text)


def test_texts_read_from_below_or_from_the_right(drawing: Drawing) -> None:
    assert all(-90 < t.turn <= 90 for t in drawing.texts)


def test_texts_run_along_their_edges_and_near_them(drawing: Drawing) -> None:
    texts = {t.of: t for t in drawing.texts}
    for line in drawing.lines:
        text = texts[line.edge]
        edge = shapely.LineString([line.start, line.end])
        direction = math.degrees(
            math.atan2(line.end[1] - line.start[1], line.end[0] - line.start[0])
        )
        assert (direction - text.turn + 1e-6) % 180 < 1e-5
        assert edge.distance(shapely.Point(text.at)) < 5 * text.height


def test_the_box_holds_everything(drawing: Drawing) -> None:
    around = shapely.box(*drawing.low, *drawing.high).buffer(1e-6)
    assert all(around.contains(box(t)) for t in drawing.texts)
    assert all(around.contains(shapely.Point(p)) for n in drawing.lines for p in (n.start, n.end))


def test_the_same_roof_gives_the_same_drawing(project: Project, drawing: Drawing) -> None:
    assert plan_drawing(results_of(project)) == drawing


def test_nothing_gives_an_empty_drawing() -> None:
    drawing = plan_drawing(results_of(default_project()))
    assert not drawing.lines
    assert not drawing.texts
