"""What the tool at hand expects next, in one line: the status line follows the work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roofmodel.document import Project
from roofmodel_ui.tools.base import Tool

if TYPE_CHECKING:
    from roofmodel_ui.tools.measure import MeasureTool

LEVEL = "Is the picture askew? Choose Level picture (in Tools) first."
TAKE = "Enter takes what is typed, Escape gives it up."


def may_be_askew(project: Project) -> bool:
    """Whether a picture is to scale, was not levelled or turned, and nothing is drawn yet."""
    if project.sections() or project.planes():
        return False
    seen = [u for u in project.underlays if u.visible and u.kind != "drawing"]
    return bool(seen) and all(u.scaled for u in seen) and any(u.turn == 0.0 for u in seen)


def expected(tool: Tool) -> str:
    """The next thing to do with a tool, or how it is used where nothing is begun."""
    if tool.name == "Select":
        return _first_step(tool.session.project) or tool.hint
    # the window begins with Select: the others are not imported for it
    from roofmodel_ui.tools.measure import MeasureTool
    from roofmodel_ui.tools.rectangle import RectangleTool
    from roofmodel_ui.tools.scale import ScaleTool
    from roofmodel_ui.tools.trace import TraceTool

    if isinstance(tool, ScaleTool):
        steps = (
            "Click one end of a length that you know.",
            "Click its other end.",
            "Type the distance between the two points, then Enter.",
        )
        return steps[min(len(tool._points), 2)]
    if isinstance(tool, MeasureTool):
        return _measuring(tool)
    if not isinstance(tool, TraceTool):
        return tool.hint
    if tool.typed:
        return TAKE
    count = len(tool.corners)
    if not count:
        if may_be_askew(tool.session.project):
            return f"{LEVEL} Or click the first corner."
        return tool.hint
    if isinstance(tool, RectangleTool):
        if count == 1:
            return "Click the other end of the side, or type its length, then Enter."
        return "Click how deep it is, or type the depth, then Enter."
    nearly = "Click the next corner, or type a length, then Enter."
    if count < 3:
        return f"{nearly} Backspace takes the last corner back."
    return f"{nearly} The first corner closes the outline."


def _first_step(project: Project) -> str:
    """What comes before there is anything to select; empty once there is."""
    if any(b.part_ids() for b in project.buildings):
        return ""
    if not project.underlays:
        return "Load a picture (Ctrl+L), draw an outline (O), or add a ready-made body (N)."
    if not all(u.scaled for u in project.underlays):
        return "Set the scale (K) by a length that you know, then draw the outline (O)."
    if may_be_askew(project):
        return f"{LEVEL} Then draw the outline (O)."
    return "Draw the outline (O) over it: click its corners, or type lengths."


def _measuring(tool: MeasureTool) -> str:
    if tool.closed or not tool.spots:
        return tool.hint
    if len(tool.spots) == 1:
        return "Click the second point."
    return "Click another point for the angle, Enter for the area. Escape starts again."
