"""Flat decks: no panels lie on them, but membrane all over, in strips along their longer side."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import shapely

from roofmodel.surface import Plane
from roofmodel.takeoff.check_types import Check
from roofmodel.takeoff.panels import Case
from roofmodel.takeoff.site import Site

FLAT = "Flat decks"


def decks_of(site: Site) -> tuple[Plane, ...]:
    """The flat planes that a system covers."""
    return tuple(p for p in site.covered if p.slope == 0.0)


def deck_case(site: Site, deck: Plane) -> Case:
    """A deck as if it rose square to its longer side, so that courses lie along that."""
    system = site.coverings.system_of(deck)
    if system is None:
        raise KeyError(deck.name)
    return Case(dataclasses.replace(deck, bearing=_bearing(deck)), (), system)


def _bearing(deck: Plane) -> float:
    """Degrees clockwise from north, square to the longer side of the least rectangle around it."""
    around = shapely.oriented_envelope(shapely.Polygon(deck.outline[:, :2]))
    corners = shapely.get_coordinates(around)
    if len(corners) < 4:
        return 0.0
    ways = np.diff(corners[:3], axis=0)
    long = ways[int(np.hypot(ways[:, 0], ways[:, 1]).argmax())]
    # square to (x, y) lies (−y, x), and a bearing runs clockwise from north
    return -math.degrees(math.atan2(long[1], long[0])) % 180.0


def deck_checks(site: Site) -> list[Check]:
    """Panels do not cover what is flat."""
    decks = decks_of(site)
    if not decks:
        return []
    names = ", ".join(dict.fromkeys(p.name for p in decks))
    sentence = (
        f"{names}: flat; panels do not cover it, membrane is counted over it, and it needs a"
        " low-slope roof by others."
    )
    source = site.project.layers.membrane.source
    return [Check(FLAT, source, sentence, tuple(p.id for p in decks), (), False)]
