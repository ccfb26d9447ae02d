"""The take-off as JSON, CSV and a workbook."""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from msgspec import structs

from roofmodel.document import (
    NOT_IN_JOB,
    OTHER,
    Building,
    Job,
    PlaneCovering,
    Problem,
    Project,
    Units,
    edits,
)
from roofmodel.document.offer_edits import add_offer, set_prices
from roofmodel.quoting import price_of
from roofmodel.results import Results, results_of
from roofmodel.takeoff import Quantity, cut_lines
from roofmodel_io.defaults import default_project
from roofmodel_io.prices_toml import sample_prices
from roofmodel_io.takeoff_json import takeoff_content, takeoff_json, write_takeoff_json
from roofmodel_io.takeoff_tables import (
    takeoff_csv,
    takeoff_xlsx,
    write_takeoff_csv,
    write_takeoff_xlsx,
)

FT = 304.8
ROOT = Path(__file__).parents[2]


def hip() -> Project:
    """40 by 24 ft, 6/12 all round."""
    project, _ = edits.new_section(
        default_project("Fern Hill"),
        [(0, 0), (40 * FT, 0), (40 * FT, 24 * FT), (0, 24 * FT)],
    )
    return project


@pytest.fixture(scope="module")
def results() -> Results:
    return results_of(hip())


def test_json_holds_the_whole_result(results: Results) -> None:
    content = json.loads(takeoff_json(results))
    assert content["version"] == 1
    area = sum(p["true_area"] for p in content["planes"]) / FT**2
    assert area == pytest.approx(1073.3126292, rel=1e-9)
    hips = [e for e in content["edges"] if e["kind"] == "hip"]
    assert [e["length"] / FT for e in hips] == pytest.approx([18.0] * 4, rel=1e-9)
    ids = {p["id"] for p in content["planes"]}
    edge_ids = {e["id"] for e in content["edges"]}
    assert len(ids) == 4
    assert len(edge_ids) == len(content["edges"]) == 9
    assert all(set(e["planes"]) <= ids for e in content["edges"])
    assert all(set(p["edges"]) <= edge_ids for p in content["planes"])
    assert {p["plane"] for p in content["panels"]} == ids
    assert {x["plane"] for x in content["layings"]} == ids
    first = content["panels"][0]  # beside a hip: 36 in and the lap leg, up to the right
    lower = first["lower"]
    assert (lower["shape"], lower["angle"], lower["hand"]) == ("square", 0.0, "")
    assert [w for w, _ in lower["lines"]] == pytest.approx([37.5 * 25.4])
    assert (first["upper"]["shape"], first["upper"]["hand"]) == ("angled", "right")
    assert first["upper"]["angle"] == pytest.approx(48.1897, abs=1e-4)
    assert {e for t in content["trim"] for e in t["edges"]} <= edge_ids
    assert all(q["how"] and q["source"] for q in content["quantities"])
    assert content["warnings"] == []
    assert content["problems"] == []


def test_json_is_the_same_every_time(results: Results) -> None:
    assert takeoff_json(results) == takeoff_json(results_of(hip()))


def test_the_schema_names_every_field(results: Results) -> None:
    text = (ROOT / "docs/takeoff-json.md").read_text("utf-8")
    words = set(re.findall(r"`([a-z_]+)`", text))
    content = takeoff_content(results)
    fields = set(content)
    for name in ("systems", "buildings", "planes", "edges", "panels", "trim", "quantities"):
        fields |= set(content[name][0])
    fields |= set(content["layings"][0]) | set(content["panels"][0]["lower"])
    fields |= set(content["cutting_plans"][0]) | set(content["cutting_plans"][0]["bars"][0])
    fields |= set(content["fixings"][0]) | set(content["fixings"][0]["rows"][0])
    fields |= {"sentence", "serious", "section", "places"}
    assert content["price"] is None
    priced = set_prices(results.project, sample_prices())
    price = takeoff_content(results_of(add_offer(priced, "As drawn")))["price"]
    fields |= set(price) | set(price["lines"][0]) | set(price["steps"][0])
    fields |= set(price["offers"][0])
    assert fields <= words


@pytest.fixture(scope="module")
def mixed() -> Results:
    """The hip house, and a shed of 10 by 10 whose sides are of all sorts."""
    project, shed = edits.new_section(
        hip(), [(60 * FT, 0), (70 * FT, 0), (70 * FT, 10 * FT), (60 * FT, 10 * FT)], "Shed"
    )
    house = project.buildings[0]
    narrow = structs.replace(project.system, id="narrow", name="Narrow panel", coverage=400.0)
    sections = {s.id: s for s in house.sections}
    project = structs.replace(
        project,
        buildings=(
            structs.replace(house, sections=tuple(s for s in house.sections if s.id != shed)),
            Building("b9", "=Shed", (sections[shed],), covering="narrow"),
        ),
        more_systems=(narrow,),
    )
    sides = {p.name: str(p.id) for p in results_of(project).surface.planes if p.building == "b9"}
    coverings = (
        PlaneCovering(sides["North 2"], OTHER), PlaneCovering(sides["West 2"], NOT_IN_JOB),
    )  # fmt: skip
    return results_of(structs.replace(project, plane_coverings=coverings))


def test_json_has_buildings_and_coverings(mixed: Results) -> None:
    content = json.loads(takeoff_json(mixed))
    assert [b["name"] for b in content["buildings"]] == ["House", "=Shed"]
    assert [s["id"] for s in content["systems"]] == ["ribbed_panel", "narrow"]
    coverings = {p["name"]: (p["building"], p["covering"]) for p in content["planes"]}
    assert coverings["South 1"] == (content["buildings"][0]["id"], "ribbed_panel")
    assert coverings["South 2"] == ("b9", "narrow")
    assert coverings["North 2"] == ("b9", "other")
    assert coverings["West 2"] == ("b9", "not in this job")
    assert {p["system"] for p in content["panels"]} == {"ribbed_panel", "narrow"}
    assert {t["building"] for t in content["trim"]} == {b["id"] for b in content["buildings"]}
    out = [e for e in content["edges"] if not e["in_job"]]
    # the eave of the side that is not in the job; its hips are the neighbours' too
    assert [(e["kind"], len(e["planes"])) for e in out] == [("eave", 1)]
    lines = {(q["group"], q["item"]): q for q in content["quantities"]}
    assert lines["Building: =Shed", "Roof area"]["building"] == "=Shed"
    assert lines["Covering: other", "Roof area"]["covering"] == "other"


def test_csv_has_buildings_and_coverings(mixed: Results) -> None:
    rows = list(csv.DictReader(io.StringIO(takeoff_csv(mixed))))
    by_item = {(r["Group"], r["Item"]): r for r in rows}
    total = by_item["Roof", "Roof area"]
    assert (total["Building"], total["Covering"]) == ("", "")
    shed = by_item["Planes", "South 2, 6/12"]
    assert (shed["Building"], shed["Covering"]) == ("'=Shed", "Narrow panel")
    # 25 sq ft of each side in plan, three of four in the job
    area = float(by_item["Building: =Shed", "Roof area"]["Quantity"])
    assert area == pytest.approx(75 * 1.25**0.5)
    assert ("Planes", "West 2, 6/12") not in by_item


def test_the_workbook_has_buildings_and_coverings(mixed: Results) -> None:
    sheets = sheets_of(takeoff_xlsx(mixed))
    texts = [row[0] for row in sheets["Summary"]]
    name = mixed.project.system.name
    assert f"Roofing: {name}; Narrow panel" in texts
    planes = {row[0]: row for row in sheets["Planes"][2:]}
    assert planes["South 1"][-2:] == ["House", name]
    assert planes["North 2"][-2:] == ["=Shed", "other"]
    # no areas for what is not in the job, so that the column adds up
    assert planes["West 2"][4:] == ["=Shed", "not in this job"]
    areas = [row[5] for key, row in planes.items() if key not in ("Total", "West 2")]
    assert planes["Total"][2] == pytest.approx(sum(float(a) for a in areas))


def test_csv_has_a_line_per_quantity(results: Results) -> None:
    lines = list(csv.DictReader(io.StringIO(takeoff_csv(results))))
    cuts = cut_lines(results.take_off.cutting_plans, results.project.units)
    assert len(lines) == len(results.take_off.quantities) + len(cuts)
    area = next(line for line in lines if line["Item"] == "Roof area")
    assert float(area["Quantity"]) == pytest.approx(1073.3126292, rel=1e-9)
    assert area["Unit"] == "sq ft"
    hips = next(line for line in lines if line["Item"] == "Hip, all")
    assert float(hips["Quantity"]) == pytest.approx(72.0)
    assert hips["Unit"] == "ft"
    assert all(line["How it came about"] and line["Source"] for line in lines)


def test_metric_projects_give_metric_numbers() -> None:
    results = results_of(edits.set_units(hip(), Units("metric")))
    lines = {line["Item"]: line for line in csv.DictReader(io.StringIO(takeoff_csv(results)))}
    assert lines["Hip, all"]["Unit"] == "m"
    assert float(lines["Hip, all"]["Quantity"]) == pytest.approx(72 * 0.3048)
    assert lines["Roof area"]["Unit"] == "m²"
    # what is cut is in millimetres, what is added up in metres
    sheets = sheets_of(takeoff_xlsx(results))
    assert "Cut length (mm)" in sheets["Panels"][1]
    assert "Net area (m²)" in sheets["Panels"][1]
    each = next(row for row in sheets["Each panel"] if row[:3] == ["South 1", 1.0, 1.0])
    assert each[3] == pytest.approx(37.5 * 25.4 * 1.25**0.5)
    titles = sheets["Trim"][1]
    assert "Length (m)" in titles
    assert "Stock length (mm)" in titles
    assert "Length (m)" in sheets["Edges"][1]


def test_packs_and_notes_have_columns(results: Results) -> None:
    # a job of screws: 1,120 in bags of 250
    screws = Quantity(
        *("Goods", "Screws", "count", 1120.0, "1,120 screws", "rule"),
        note="field and edges",
        key="screw",
        packs=5,
        pack="bag of 250 screws",
        pack_how="1,120 screws ÷ 250 rounded up",
    )
    take_off = replace(results.take_off, quantities=(*results.take_off.quantities, screws))
    job = replace(results, take_off=take_off)
    line = next(r for r in csv.DictReader(io.StringIO(takeoff_csv(job))) if r["Item"] == "Screws")
    assert [line[c] for c in ("How it came about", "Note", "Packs to buy", "Pack")] == [
        "1,120 screws", "field and edges", "5", "bag of 250 screws",
    ]  # fmt: skip
    assert line["How many packs"] == "1,120 screws ÷ 250 rounded up"
    assert takeoff_content(job)["quantities"][-1]["packs"] == 5
    row = next(row for row in sheets_of(takeoff_xlsx(job))["Summary"] if "Screws" in row)
    assert row[1:] == [
        "Screws", 1120.0, "count", "1,120 screws", "field and edges", 5.0, "bag of 250 screws",
        "1,120 screws ÷ 250 rounded up", "rule",
    ]  # fmt: skip


def sheets_of(data: bytes) -> dict[str, list[list[str | float]]]:
    """The cells of a workbook, sheet by sheet, row by row; empty cells are left out."""
    space = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
    with zipfile.ZipFile(io.BytesIO(data)) as box:
        shared = [
            "".join(t.text or "" for t in item.iter(f"{{{space['m']}}}t"))
            for item in ElementTree.fromstring(box.read("xl/sharedStrings.xml"))
        ]
        book = ElementTree.fromstring(box.read("xl/workbook.xml"))
        names = [s.attrib["name"] for s in book.findall(".//m:sheet", space)]
        sheets: dict[str, list[list[str | float]]] = {}
        for number, name in enumerate(names, 1):
            tree = ElementTree.fromstring(box.read(f"xl/worksheets/sheet{number}.xml"))
            sheets[name] = []
            for row in tree.findall(".//m:row", space):
                cells: list[str | float] = []
                for cell in row.findall("m:c", space):
                    assert cell.find("m:f", space) is None
                    value = cell.find("m:v", space)
                    if value is None or value.text is None:
                        continue
                    is_text = cell.attrib.get("t") == "s"
                    cells.append(shared[int(value.text)] if is_text else float(value.text))
                sheets[name].append(cells)
    return sheets


def test_the_workbook_holds_real_numbers(results: Results) -> None:
    sheets = sheets_of(takeoff_xlsx(results))
    assert list(sheets) == [
        "Summary",
        "Planes",
        "Edges",
        "Panels",
        "Panels to order",
        "Each panel",
        "Trim",
        "Cutting",
        "Goods",
        "Tear-off",
        "Checks",
    ]
    priced = set_prices(results.project, sample_prices())
    pages = sheets_of(takeoff_xlsx(results_of(priced)))
    price = price_of(results_of(priced))
    assert price is not None
    assert [row[1] for row in pages["Price"] if row[:1] == ["Price"]] == [float(price.price)]
    total = sheets["Planes"][-1]
    assert total == ["Total", pytest.approx(960.0), pytest.approx(1073.3126292, rel=1e-9)]
    assert ["Hip", 4.0, pytest.approx(72.0)] in sheets["Summary"]
    assert ["Hip", "Hip 1", pytest.approx(18.0), pytest.approx(36.8699, abs=1e-4)] in sheets[
        "Edges"
    ]
    assert "Total length (ft)" in [c for row in sheets["Summary"] for c in row]
    assert sheets["Panels"][-1][1] == len(results.take_off.panels)
    assert any("48.2° up to the right" in row for row in sheets["Panels"])
    each = [row for row in sheets["Each panel"] if row[:1] == ["South 1"]]
    assert each[0][1:4] == ["first end", 0.0, "left to right"]
    assert each[1][:3] == ["South 1", 1.0, 1.0]
    assert each[1][3] == pytest.approx(37.5 * 1.25**0.5 / 12)
    assert sum(t.pieces for t in results.take_off.trim) in sheets["Trim"][-1]


def test_the_workbook_is_the_same_every_time(results: Results) -> None:
    assert takeoff_xlsx(results) == takeoff_xlsx(results_of(hip()))


def test_names_are_never_formulas() -> None:
    project = edits.set_job(hip(), Job(name='=HYPERLINK("x")', client="=1+1"))
    sheets = sheets_of(takeoff_xlsx(results_of(project)))
    assert ['Job: =HYPERLINK("x")'] in sheets["Summary"]


def test_an_empty_project_gives_empty_files() -> None:
    results = results_of(default_project())
    assert json.loads(takeoff_json(results))["planes"] == []
    assert len(takeoff_csv(results).splitlines()) == 1
    assert "Planes" in sheets_of(takeoff_xlsx(results))


def test_files_are_written(results: Results, tmp_path: Path) -> None:
    write_takeoff_json(tmp_path / "a.json", results)
    write_takeoff_csv(tmp_path / "a.csv", results)
    write_takeoff_xlsx(tmp_path / "a.xlsx", results)
    assert (tmp_path / "a.json").read_text("utf-8") == takeoff_json(results)
    assert (tmp_path / "a.csv").read_bytes().startswith(b"\xef\xbb\xbfGroup,Item")
    assert (tmp_path / "a.xlsx").read_bytes() == takeoff_xlsx(results)


def test_the_summary_says_each_doubt_once() -> None:
    results = results_of(hip())
    problem = Problem("The roof is low here.", serious=False)
    doubtful = replace(
        results,
        problems=(problem,),
        take_off=replace(
            results.take_off, warnings=("The roof is low here.", "Field-measure first.")
        ),
    )
    texts = [str(row[0]) for row in sheets_of(takeoff_xlsx(doubtful))["Summary"] if row]
    assert [t for t in texts if t.startswith("To check: ")] == [
        "To check: The roof is low here.",
        "To check: Field-measure first.",
    ]
