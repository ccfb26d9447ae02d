"""The document: what the user said, its edits and its problems."""

from roofmodel.document.problems import Problem
from roofmodel.document.types import (
    Building,
    Job,
    OutlineEdge,
    Point,
    Project,
    Ring,
    Section,
    Step,
    Underlay,
    Units,
)

__all__ = [
    "Building",
    "Job",
    "OutlineEdge",
    "Point",
    "Problem",
    "Project",
    "Ring",
    "Section",
    "Step",
    "Underlay",
    "Units",
]
