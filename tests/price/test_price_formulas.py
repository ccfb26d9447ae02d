"""Every printed formula of a price comes to the amount beside it, its numbers as they stand."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.document.offer_edits import set_colour, set_prices
from roofmodel.quoting import price_of
from roofmodel.results import results_of
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.prices_toml import sample_prices
from roofmodel_io.project_file import read_project

CENT = Decimal("0.01")
SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))


def worked(text: str) -> Decimal:
    """The text as a reader with a calculator takes it: words and remarks are no numbers."""
    plain = re.sub(r"\((?=[A-Za-z])[^()]*\)", "", text).replace(",", "")
    plain = re.sub(r"([0-9.]+) %", lambda m: str(Decimal(m[1]) / 100), plain)
    plain = re.sub(r"[A-Za-z²]+", "", plain)
    plain = plain.replace("×", "*").replace("÷", "/").replace("−", "-")
    tokens = re.findall(r"[0-9.]+|[-+*/()]", plain)
    code = "".join(f"Decimal('{t}')" if t[0].isdigit() else t for t in tokens)
    return Decimal(eval(code, {"Decimal": Decimal}))  # digits and signs only


def cents(value: Decimal) -> Decimal:
    return value.quantize(CENT, ROUND_HALF_UP)


@pytest.mark.parametrize("place", SAMPLES, ids=lambda p: p.stem)
def test_each_line_and_step(place: Path) -> None:
    for system in built_in_systems():
        project = cover_job(put_system(read_project(place).project, system), system.id)
        project = set_colour(set_prices(project, sample_prices()), "Slate blue")
        found = price_of(results_of(project, planner=None))
        assert found is not None
        for line in found.lines:
            assert line.amount is not None
            assert cents(worked(line.how)) == line.amount, line
        for step in found.steps[2:]:
            assert cents(worked(step.how)) == step.amount, step
        hours = [li for li in found.lines if li.group == "Work"]
        for line in hours:
            assert abs(worked(line.measured) - line.quantity) <= Decimal("0.0005"), line
