"""Commands of what lies under the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow


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
    """See to it that what is under the plan is drawn, from the first of it on."""

    def look() -> None:
        if window.session.project.underlays:
            _ = window.files.underlays

    window.session.project_changed.connect(look)
    look()
