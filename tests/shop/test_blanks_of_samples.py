"""What is counted is enough for what is cut: every sample, in each system and in both at once."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.results import results_of
from roofmodel.shop.blanks import blanks_of
from roofmodel.systems import RoofingSystem
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project
from tests.shop.assembly import end_line, start_line
from tests.takeoff.test_trim_of_samples import in_both

Array = NDArray[np.float64]

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()


@pytest.mark.parametrize("mixed", [False, True], ids=["alone", "with the other"])
@pytest.mark.parametrize("system", SYSTEMS, ids=[s.id for s in SYSTEMS])
@pytest.mark.parametrize("place", SAMPLES, ids=lambda p: p.stem)
def test_no_blank_is_longer_than_what_it_is_cut_from(
    place: Path, system: RoofingSystem, mixed: bool
) -> None:
    project = cover_job(put_system(read_project(place).project, system), system.id)
    results = results_of(project, planner=None)
    if mixed:
        project = in_both(project, results.surface)
        results = results_of(project, planner=None)
    made = blanks_of(project, results.surface, results.take_off.trim)
    blanks = made.blanks
    assert blanks
    assert not made.remarks
    assert any(b.run.halves for b in blanks) == mixed
    assert [b.name for b in blanks if "more than the cutting list" in b.remark] == []
    for run in results.take_off.trim:
        cuts = sorted(b.cut_length for b in blanks if b.run is run)
        assert cuts == sorted(run.cuts)
    for blank in blanks:
        assert float(blank.outline[:, 1].max()) <= blank.cut_length + 0.5
        # its area is girth × length less what its two ends take off, counted strip by strip
        long = float(blank.outline[:, 1].max())
        cut = below(start_line(blank)) + blank.girth * long - below(end_line(blank))
        assert blank.area == pytest.approx(blank.girth * long - cut, rel=1e-9)
        straight = {"square", "lap"}
        if {blank.start.kind, blank.end.kind} <= straight:
            assert cut == pytest.approx(0.0, abs=1e-6 * blank.area)
            assert blank.area == pytest.approx(blank.girth * blank.length, rel=1e-9)
        slopes = (blank.start.first, blank.start.second, blank.end.first, blank.end.second)
        if max(map(abs, slopes)) > 0.05 or "turned" in blank.start.kind + blank.end.kind:
            assert cut > 0.0


def below(line: Array) -> float:
    """The area between a line across a blank and its lowest corner, mm²."""
    return math.fsum((x1 - x0) * (y0 + y1) / 2.0 for (x0, y0), (x1, y1) in pairwise(line.tolist()))
