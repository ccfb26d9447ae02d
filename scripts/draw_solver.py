"""Draws the pictures of docs/solver.md with the solver itself: wavefronts and the finished roof.

Usage: python scripts/draw_solver.py [FOLDER]. A wavefront at a height is the edge of a deck there.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from pathlib import Path

import matplotlib as mpl
import numpy as np

from roofmodel.skeleton import DECK, WALL, solve

mpl.use("Agg")
from matplotlib import pyplot as plt
from matplotlib.axes import Axes

Corners = tuple[tuple[float, float], ...]
Profiles = Sequence[Sequence[tuple[float, float]]]

HIP = [(0.0, 0.5)]
L_SHAPE: Corners = ((0, 0), (40, 0), (40, 24), (16, 24), (16, 40), (0, 40))
SPLIT: Corners = ((0, 0), (36, 0), (36, 20), (22, 20), (18, 8), (14, 20), (0, 20))
STRAIGHT: Corners = ((0, 0), (20, 0), (40, 0), (40, 24), (0, 24))
INK, FRONT, WALLS = "#1f2933", "#0072B2", "#D55E00"


def closed(points: np.ndarray) -> np.ndarray:
    """A ring with its first corner repeated at the end."""
    return np.vstack([points, points[:1]])


def draw(
    axes: Axes, title: str, corners: Corners, profiles: Profiles, heights: Sequence[float]
) -> None:
    """One outline: its faces, and the wavefront at some heights."""
    for face in solve([corners], profiles).faces:
        ring = closed(face.vertices)
        if face.edge == WALL:
            axes.plot(ring[:, 0], ring[:, 1], color=WALLS, lw=4, solid_capstyle="butt")
        elif not face.vertical:
            axes.fill(ring[:, 0], ring[:, 1], facecolor="#e8eef3", edgecolor=INK, lw=1.2)
    for height in heights:
        for face in solve([corners], profiles, deck_height=height).faces:
            if face.edge == DECK:
                ring = closed(face.vertices)
                axes.plot(ring[:, 0], ring[:, 1], color=FRONT, lw=1.0, ls="--")
    outline = closed(np.array(corners))
    axes.plot(outline[:, 0], outline[:, 1], color=INK, lw=2.4)
    axes.set_title(title, fontsize=10, color=INK)
    axes.set_aspect("equal")
    axes.axis("off")


def main(folder: Path) -> None:
    """Write all pictures."""
    folder.mkdir(parents=True, exist_ok=True)
    figure, axes = plt.subplots(1, 3, figsize=(12, 4.2))
    draw(axes[0], "One pitch: fronts move alike", L_SHAPE, [HIP] * 6, (1.0, 2.0, 3.0, 4.0, 5.0))
    draw(axes[1], "An inside corner splits the front", SPLIT, [HIP] * 7, (0.7, 1.4, 2.2, 3.2))
    unlike = [HIP, [(0.0, 1.0)], HIP, HIP, [(0.0, math.inf)], [(0.0, 0.75)]]
    draw(axes[2], "Unlike pitches, one gable", L_SHAPE, unlike, (1.0, 2.0, 3.0, 4.5))
    figure.tight_layout()
    figure.savefig(folder / "solver_fronts.png", dpi=110)

    figure, axes = plt.subplots(1, 3, figsize=(12, 4.2))
    side = [(0.0, 2.0), (4.0, 0.4)]
    draw(
        axes[0],
        "A step in the profile: gambrel",
        STRAIGHT[:1] + STRAIGHT[2:],
        [side, [(0.0, math.inf)]] * 2,
        (2.0, 4.0, 6.0),
    )
    late = [(3.0, 0.5)]
    draw(
        axes[1],
        "A higher eave starts later",
        STRAIGHT[:1] + STRAIGHT[2:],
        [HIP, late, HIP, HIP],
        (1.0, 2.0, 3.0, 4.5),
    )
    walls = [HIP, [(0.0, 1.0)], HIP, HIP, HIP]
    draw(axes[2], "Parallel fronts part: a step wall", STRAIGHT, walls, (1.5, 3.0, 4.5))
    figure.tight_layout()
    figure.savefig(folder / "solver_profiles.png", dpi=110)


if __name__ == "__main__":
    default = Path(__file__).resolve().parent.parent / "docs" / "pictures"
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else default)
