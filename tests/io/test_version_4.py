"""A project file of version 4, which knew releases and rules of the shop, but no coils."""

from __future__ import annotations

from roofmodel.document.releases import ShopRules
from roofmodel_io.project_file import read_project
from tests.io.test_project_file import DATA, png, whole_job


def test_a_file_of_version_4_opens_as_it_was() -> None:
    """Written by the program of that time, with a release and a rule of the shop."""
    project, pictures = read_project(DATA / "version_4.roof")
    assert (project.buildings, project.underlays) == (whole_job().buildings, whole_job().underlays)
    assert pictures == {"photo.png": png()}
    (release,) = project.releases
    assert [p.mark for p in release.pieces] == ["South 1 - 1", "Ridge cap on Ridge 1"]
    assert (release.pieces[1].gauge, release.pieces[1].bends) == ("24 ga", (-53.1,))
    # what trim is slit from came later
    assert project.shop == ShopRules(lift_weight=500.0, trim_coils=(1219.2,))
