"""What is imported late is there all the same, and changes nothing."""

from __future__ import annotations

import importlib
import importlib.util
import os
import subprocess
import sys

import msgspec
import pytest

from roofmodel.chain import worked_out
from roofmodel.document import Project, Underlay, Units
from roofmodel.document.cover_edits import add_system
from roofmodel.results import results_of
from roofmodel_io.defaults import built_in_systems, default_project

PACKAGES = ("geometry", "surface", "takeoff", "sheets", "scene")


@pytest.mark.parametrize("package", PACKAGES)
def test_packages_give_every_name_they_list(package: str) -> None:
    names = importlib.import_module(f"roofmodel.{package}")
    for name in names.__all__:
        module = getattr(names, name)
        assert module is getattr(names, name)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = names.nothing


@pytest.mark.parametrize("package", PACKAGES)
def test_no_name_is_that_of_a_module_of_its_package(package: str) -> None:
    names = importlib.import_module(f"roofmodel.{package}")
    for name in names.__all__:
        assert importlib.util.find_spec(f"roofmodel.{package}.{name}") is None, name


def _new_projects() -> list[Project]:
    new = default_project()
    underlay = Underlay("u1", "aerial.png", 100, 80)
    return [
        new,
        msgspec.structs.replace(new, units=Units("metric")),
        add_system(new, built_in_systems()[1]),
        msgspec.structs.replace(new, underlays=(underlay,)),
    ]


@pytest.mark.parametrize("number", range(4))
def test_a_new_project_comes_to_what_the_whole_chain_gives(number: int) -> None:
    project = _new_projects()[number]
    assert repr(results_of(project)) == repr(worked_out(project, None))


def test_a_new_project_needs_none_of_the_geometry() -> None:
    code = (
        "import sys; from roofmodel.results import results_of;"
        "from roofmodel_io.defaults import default_project; results_of(default_project());"
        "print([m for m in sys.modules if m in ('roofmodel.chain', 'roofmodel.skeleton.solver')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=_here()
    )
    assert done.stdout.strip() == "[]"


def _here() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)}
