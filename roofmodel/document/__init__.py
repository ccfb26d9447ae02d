"""The document: what the user said, its edits and its problems."""

from roofmodel.document.layouts import STARTS, PanelLayout, PlaneLayout, Start
from roofmodel.document.parts import (
    ByEdge,
    ByHeights,
    BySlope,
    DrawnPlane,
    Opening,
    Point,
    Point3,
)
from roofmodel.document.problems import Mend, Problem
from roofmodel.document.types import (
    NOT_IN_JOB,
    OTHER,
    Building,
    EdgeOverride,
    Job,
    OutlineEdge,
    PlaneCovering,
    Project,
    Ring,
    Section,
    Step,
    Units,
)
from roofmodel.document.underlays import KnownDistance, Underlay

__all__ = [
    "NOT_IN_JOB",
    "OTHER",
    "STARTS",
    "Building",
    "ByEdge",
    "ByHeights",
    "BySlope",
    "DrawnPlane",
    "EdgeOverride",
    "Job",
    "KnownDistance",
    "Mend",
    "Opening",
    "OutlineEdge",
    "PanelLayout",
    "PlaneCovering",
    "PlaneLayout",
    "Point",
    "Point3",
    "Problem",
    "Project",
    "Ring",
    "Section",
    "Start",
    "Step",
    "Underlay",
    "Units",
]
