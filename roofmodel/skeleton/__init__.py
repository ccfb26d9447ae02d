"""The section solver: one outline with a profile per edge -> faces (a kinetic wavefront)."""

from roofmodel.skeleton.solver import solve
from roofmodel.skeleton.types import DECK, WALL, Face, Solved

__all__ = ["DECK", "WALL", "Face", "Solved", "solve"]
