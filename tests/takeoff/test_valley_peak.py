"""Metal above the peak of two valleys: set back from both, it ends in one corner above the peak.

Wing at the pitch of the main roof, 6/12: in the plane each valley lies A = 48.1897° from the eave
(atan(tan 45° · √1.25)), so half the V between them is 41.8103°. Lines 7 in back from both meet
7 ÷ sin 41.8103° = 10.5 in above the peak: there is metal just above that place and none below it.
"""

from __future__ import annotations

import math

import pytest
import shapely

from roofmodel.results import results_of
from roofmodel.systems import EdgeKind
from roofmodel.takeoff.field import Frame
from roofmodel_io.defaults import built_in_systems
from tests.houses import GABLE, RECTANGLE, box, project, section


@pytest.mark.parametrize("system", built_in_systems(), ids=lambda s: s.id)
def test_no_tongue_of_metal_reaches_into_the_peak(system: object) -> None:
    chosen = next(s for s in built_in_systems() if s is system)
    main = section(RECTANGLE, (0.5, GABLE, 0.5, GABLE))
    wing = section(box(12, -10, 28, 12), (GABLE, 0.5, GABLE, 0.5), section_id="s2")
    results = results_of(project(main, wing, system=chosen), planner=None)
    (south,) = [p for p in results.surface.planes if p.name == "South 1"]
    frame = Frame.of(south)
    (peak,) = [n.place for n in results.surface.nodes if n.kind == "valley head"]
    u, v = frame.flat(peak[None])[0]
    panels = [p for p in results.take_off.panels if p.plane == south.id]
    metal = shapely.union_all(
        [shapely.Polygon(frame.flat(p.outline), [frame.flat(h) for h in p.holes]) for p in panels]
    )
    back = -chosen.shifts[EdgeKind.VALLEY]
    half = math.radians(90.0) - math.atan(math.sqrt(1.25))
    assert back / math.sin(half) == pytest.approx(1.5 * back, rel=1e-9)
    meet = back / math.sin(half)
    assert metal.distance(shapely.Point(u, v + meet)) == pytest.approx(0.0, abs=1e-3)
    below = shapely.LineString([(u, v), (u, v + meet - 0.01)])
    assert not metal.intersects(below)
    # beside the V it is nowhere nearer than the set-back
    assert metal.distance(shapely.Point(u, v)) == pytest.approx(back, rel=1e-9)
