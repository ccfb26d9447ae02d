"""One-dimensional cutting plans: which pieces to cut from which stock length."""

from roofmodel.cutting.solve import plan_cuts
from roofmodel.cutting.types import CutPattern, CutPlan

__all__ = ["CutPattern", "CutPlan", "plan_cuts"]
