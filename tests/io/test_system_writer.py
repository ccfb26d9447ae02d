"""A system written to a file reads back as the very same one."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roofmodel.errors import FileError
from roofmodel.systems import EdgeKind, RoofingSystem
from roofmodel_io.defaults import built_in_systems
from roofmodel_io.system_writer import inches, system_text, write_system
from roofmodel_io.systems_toml import parse_system, read_system

SYSTEMS = {s.id: s for s in built_in_systems()}


def changed(system: RoofingSystem) -> RoofingSystem:
    """One with values that are no round inches, and something of every sort."""
    rules = {
        kind: tuple(
            msgspec.structs.replace(
                rule, more_stock=(3000.0, 3600.5), kerf=2.5, ends={"valley foot": 40.0}, hang=33.3
            )
            for rule in some
        )
        for kind, some in system.trim.items()
    }
    rules[EdgeKind.DECK_EDGE] = ()
    return msgspec.structs.replace(
        system,
        name='Plain "seam", 400 mm\\wide',
        coverage=400.0,
        shifts={kind: -33.3 for kind in EdgeKind},
        vented_shifts={EdgeKind.RIDGE: -51.0, EdgeKind.HIP: -7.0},
        hems={EdgeKind.EAVE: 25.0},
        panel=msgspec.structs.replace(
            system.panel, narrowest=300.0, widest=None, longest=None, low_slope=0.2, turns=True
        ),
        trim=rules,
    )


@pytest.mark.parametrize("name", SYSTEMS)
def test_a_system_reads_back_as_it_was(name: str, tmp_path: Path) -> None:
    system = SYSTEMS[name]
    write_system(tmp_path / "own.toml", system)
    assert read_system(tmp_path / "own.toml") == system


@pytest.mark.parametrize("name", SYSTEMS)
def test_a_changed_one_too(name: str) -> None:
    system = changed(SYSTEMS[name])
    assert parse_system(system_text(system), "own.toml") == system


@given(st.integers(0, 2**30))
def test_inches_read_back_to_the_same_millimetres(sixty_fourths: int) -> None:
    mm = sixty_fourths * 25.4 / 64
    assert float(inches(mm)) * 127 / 5 == pytest.approx(mm, rel=1e-15)
    assert float(inches(mm)) == pytest.approx(sixty_fourths / 64, rel=1e-15)


def test_a_file_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"own\.toml") as caught:
        write_system(tmp_path / "none" / "own.toml", SYSTEMS["standing_seam"])
    assert str(caught.value).endswith(".")
