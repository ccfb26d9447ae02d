"""One-dimensional cutting plans: which pieces to cut from which stock length."""

from roofmodel.cutting.solve import known_plan, learn, plan_cuts
from roofmodel.cutting.types import CutPattern, CutPlan, Planner

__all__ = ["CutPattern", "CutPlan", "Planner", "known_plan", "learn", "plan_cuts"]
