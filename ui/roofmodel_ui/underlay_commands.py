"""Commands and tools of what lies under the plan, and the strings between them and the window."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Tool
from roofmodel_ui.tools.snaps import snapping_of
from roofmodel_ui.tools.underlay import LevelPictureTool, MovePictureTool

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow


def underlay_tools(session: Session, parent: QObject) -> dict[str, Tool]:
    """The tools that move and turn underlays, by the names of their commands."""
    return {
        "move_picture": MovePictureTool(session, parent),
        "level_picture": LevelPictureTool(session, parent),
    }


def underlay_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menu."""
    from roofmodel_ui.commands import Command

    def any_underlay(session: Session) -> bool:
        return bool(session.project.underlays)

    return (
        Command("move_picture", "Tools", "Move picture",
                lambda: window.use_tool("move_picture"), "",
                "Move the picture under the plan, or turn it by a corner.", any_underlay,
                tool="move_picture"),
        Command("level_picture", "Tools", "Level picture",
                lambda: window.use_tool("level_picture"), "",
                "Turn the picture so that an edge of the house is level or upright.",
                any_underlay, tool="level_picture"),
    )  # fmt: skip


def connect_underlays(window: MainWindow) -> None:
    """Let the plan draw again when there is more to draw, and drawing snap to lines below."""
    supply, session = window.files.underlays.supply, window.session
    supply.arrived.connect(window.plan.viewport().update)
    snapping_of(session).underlay = supply.segments
    window.tools["level_picture"].done.connect(lambda: window.use_tool("select"))
