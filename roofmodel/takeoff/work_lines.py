"""The take-off's lines on the work around the metal: what goes under it, what comes off."""

from __future__ import annotations

from roofmodel.takeoff.checks import check_lines
from roofmodel.takeoff.extras import extra_lines, labour_lines
from roofmodel.takeoff.layers import layer_lines
from roofmodel.takeoff.site import Site
from roofmodel.takeoff.tear_off import tear_off_lines
from roofmodel.takeoff.types import Quantity


def work_lines(site: Site) -> list[Quantity]:
    """Layers, tear-off, extras, labour, and what the checks counted."""
    return [
        *layer_lines(site),
        *tear_off_lines(site),
        *extra_lines(site),
        *labour_lines(site),
        *check_lines(site),
    ]
