"""Ready-made bodies: outlines, profiles, and the roofs they come to. Feet."""

from __future__ import annotations

import math

import msgspec
import pytest

from roofmodel.document import Project
from roofmodel.document.starts import (
    SIZES_MM,
    Start,
    StartKind,
    outline_of,
    place_start,
    usual,
)
from roofmodel.errors import DocumentError
from roofmodel.geometry import signed_area
from roofmodel.results import results_of
from roofmodel.systems import EdgeKind as K
from tests.houses import FT, plain_system
from tests.surface.roof_asserts import sf

EMPTY = Project(plain_system())


def lengths(start: Start) -> dict[K, list[float]]:
    job, _ = place_start(EMPTY, start)
    results = results_of(job)
    assert [p.sentence for p in results.problems if p.serious] == []
    found: dict[K, list[float]] = {}
    for edge in results.surface.edges:
        found.setdefault(edge.kind, []).append(round(edge.length / FT, 6))
    return {kind: sorted(some) for kind, some in found.items()}


def start(kind: StartKind, width: float, depth: float, **fields: object) -> Start:
    plain = Start(kind, width=width * FT, depth=depth * FT)
    return msgspec.structs.replace(plain, **fields)


def r(*values: float) -> list[float]:
    return sorted(round(v, 6) for v in values)


def test_gable() -> None:
    assert lengths(start(StartKind.GABLE, 40, 24)) == {
        K.EAVE: [40, 40], K.RIDGE: [40], K.RAKE: r(*[12 * sf(0.5)] * 4),
    }  # fmt: skip


def test_hip() -> None:
    """Hips (12, 12, 6) = 18."""
    assert lengths(start(StartKind.HIP, 40, 24)) == {
        K.EAVE: [24, 24, 40, 40], K.RIDGE: [16], K.HIP: [18] * 4,
    }  # fmt: skip


def test_shed() -> None:
    assert lengths(start(StartKind.SHED, 20, 12, slope=0.25)) == {
        K.EAVE: [20], K.HIGH_EAVE: [20], K.RAKE: r(*[12 * sf(0.25)] * 2),
    }  # fmt: skip


def test_gambrel() -> None:
    """The break lies 0.4 of the half depth in: 4.8 of 12 at 20/12, the rest at 6/12."""
    assert lengths(start(StartKind.GAMBREL, 40, 24)) == {
        K.EAVE: [40, 40], K.RIDGE: [40], K.PITCH_TRANSITION: [40, 40],
        K.RAKE: r(*[4.8 * sf(20 / 12)] * 4, *[7.2 * sf(0.5)] * 4),
    }  # fmt: skip


def test_mansard() -> None:
    """The break lies 0.15 of 12 = 1.8 in, so the upper roof is 36.4 by 20.4 at 3/12."""
    found = lengths(start(StartKind.MANSARD, 40, 24, slope=0.25))
    assert found[K.PITCH_TRANSITION] == r(36.4, 36.4, 20.4, 20.4)
    assert found[K.RIDGE] == [16]
    assert len(found[K.HIP]) == 8


def test_ell_and_tee() -> None:
    """Legs 12 wide: ridges 3 high, both as high; one valley in an L, two in a T, (6, 6, 3) = 9."""
    ell = lengths(start(StartKind.ELL, 40, 30, leg=12 * FT))
    assert (ell[K.VALLEY], ell[K.HIP], ell[K.RIDGE]) == ([9], [9], [24, 34])
    assert len(ell[K.RAKE]) == 4
    tee = lengths(start(StartKind.TEE, 40, 30, leg=12 * FT))
    assert (tee[K.VALLEY], tee[K.RIDGE]) == ([9, 9], [20, 20, 24])
    assert len(tee[K.RAKE]) == 6


def test_bodies_are_called_by_their_kind() -> None:
    job = EMPTY
    for kind in (StartKind.PORCH, StartKind.GABLE, StartKind.ELL, StartKind.PORCH):
        job, _ = place_start(job, usual(kind))
    assert [s.name for s in job.sections()] == ["Porch", "Gable body", "L body", "Porch 2"]


def test_porch() -> None:
    job, made = place_start(EMPTY, start(StartKind.PORCH, 16, 8, overhang=FT, line="wall"))
    section = job.section(made)
    assert section.open_below
    assert section.rings[0].edges[2].overhang == 0.0
    assert section.overhang == FT


@pytest.mark.parametrize("kind", StartKind)
def test_every_kind_has_a_usual_size_and_turns(kind: StartKind) -> None:
    plain = usual(kind)
    assert (plain.width, plain.depth) == SIZES_MM[kind]
    assert lengths(plain)
    ring = outline_of(plain)
    assert signed_area(ring) > 0
    quarter = msgspec.structs.replace(plain, turn=90.0, middle=(1000.0, 2000.0))
    # x east becomes y north, exactly
    assert outline_of(quarter) == tuple((1000.0 - y, 2000.0 + x) for x, y in ring)
    skew = outline_of(msgspec.structs.replace(plain, turn=30.0))
    assert signed_area(skew) == pytest.approx(signed_area(ring))
    (ax, ay), (bx, by) = skew[:2]
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(30)


def test_wrong_sizes_are_refused() -> None:
    with pytest.raises(DocumentError, match="more than 0"):
        outline_of(start(StartKind.GABLE, 0, 24))
    with pytest.raises(DocumentError, match="narrower"):
        outline_of(start(StartKind.ELL, 40, 24, leg=24 * FT))
    with pytest.raises(DocumentError, match="finite"):
        outline_of(start(StartKind.HIP, 40, 24, turn=math.nan))
