"""A section of the document, solved: its faces with the identity of what they stand on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from roofmodel.document import OutlineEdge, Section
from roofmodel.document.outlines import drip_rings
from roofmodel.geometry import inward_normals
from roofmodel.skeleton import DECK, WALL, Face, Solved, solve


@dataclass(frozen=True, slots=True, eq=False)
class SolvedSection:
    """One outline with its roof.

    `edges`, `normals` ((n, 2), inwards) and `slopes` (one tuple of rises over runs per edge) go
    by profile index; `rings` are the drip line, (n, 2) each.
    """

    section: str
    edges: tuple[str, ...]
    normals: NDArray[np.float64]
    slopes: tuple[tuple[float, ...], ...]
    rings: tuple[NDArray[np.float64], ...]
    solved: Solved

    def edge_name(self, face: Face) -> str:
        """Id of the outline edge a face stands on, "deck" or "step wall"."""
        return {DECK: "deck", WALL: "step wall"}.get(face.edge) or self.edges[face.edge]

    def gradient(self, face: Face) -> tuple[float, float]:
        """Uphill gradient of a sloping face, (dz/dx, dz/dy)."""
        if face.edge == DECK:
            return 0.0, 0.0
        slope = self.slopes[face.edge][face.step]
        nx, ny = self.normals[face.edge]
        return slope * float(nx), slope * float(ny)


@lru_cache(maxsize=256)
def solve_section(section: Section) -> SolvedSection:
    """Solve one section; OutlineError if its outline cannot carry a roof. Cached by value."""
    rings = drip_rings(section)
    edges = tuple(e for r in section.rings for e in r.edges)
    profiles = [_profile(section, e) for e in edges]
    deck = None if section.deck_height is None else section.eave_height + section.deck_height
    solved = solve(rings, profiles, deck_height=deck)
    normals = np.concatenate([inward_normals(r, is_hole=k > 0) for k, r in enumerate(rings)])
    slopes = tuple(tuple(s for _, s in p) for p in profiles)
    return SolvedSection(section.id, tuple(e.id for e in edges), normals, slopes, rings, solved)


def _profile(section: Section, edge: OutlineEdge) -> list[tuple[float, float]]:
    """(height above the datum, slope) of each step. With level plates the eave lies overhang ×
    slope below its plate; what is further up the slope stays where it is."""
    steps = [
        (section.eave_height + s.height, math.inf if s.slope is None else s.slope)
        for s in edge.profile
    ]
    height, slope = steps[0]
    if section.level == "plates" and math.isfinite(slope):
        overhang = section.overhang if edge.overhang is None else edge.overhang
        steps[0] = (height - overhang * slope, slope)
    return steps
