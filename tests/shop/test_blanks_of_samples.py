"""What is counted is enough for what is cut: on every sample, in both systems."""

from __future__ import annotations

from pathlib import Path

import pytest

from roofmodel.document.cover_edits import cover_job, put_system
from roofmodel.results import results_of
from roofmodel.shop.blanks import blanks_of
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.project_file import read_project

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.roof"))
SYSTEMS = built_in_systems()


@pytest.mark.parametrize("system", SYSTEMS, ids=[s.id for s in SYSTEMS])
@pytest.mark.parametrize("place", SAMPLES, ids=lambda p: p.stem)
def test_no_blank_is_longer_than_what_it_is_cut_from(place: Path, system: object) -> None:
    chosen = next(s for s in SYSTEMS if s is system)
    project = cover_job(put_system(read_project(place).project, chosen), chosen.id)
    results = results_of(project, planner=None)
    blanks = blanks_of(project, results.surface, results.take_off.trim).blanks
    assert blanks
    assert [b.name for b in blanks if "more than the cutting list" in b.remark] == []
    for run in results.take_off.trim:
        cuts = sorted(b.cut_length for b in blanks if b.run is run)
        assert cuts == sorted(run.cuts)
    for blank in blanks:
        assert float(blank.outline[:, 1].max()) <= blank.cut_length + 0.5
