"""Trim cross-sections bent to a roof: legs, bends, hems, girth."""

from roofmodel.parts.folding import BendLine, Flat, Folded, Round, folded

__all__ = ["BendLine", "Flat", "Folded", "Round", "folded"]
