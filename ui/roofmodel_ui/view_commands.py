"""Commands of the views: the sides to look from in 3D, its switches, and measuring."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow

_LOOKS: Final = (
    ("south", "From the south", "South", "Shift+S"),
    ("east", "From the east", "East", "Shift+E"),
    ("north", "From the north", "North", "Shift+N"),
    ("west", "From the west", "West", "Shift+W"),
    ("above", "From above", "Above", "Shift+A"),
    ("corner", "From a corner", "Corner", "Shift+C"),
)
_SWITCHES: Final = ("names_3d", "parallel_3d")
"""Those with a button in the 3D view; the names in plan have none."""


def view_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command

    view = window.view3d
    looks = [
        Command(f"look_{side}", "View", title, partial(view.look_from, side), keys,
                f"Look at the roof in 3D {title.lower()}.", button=word)
        for side, title, word, keys in _LOOKS
    ]  # fmt: skip
    return (
        Command("measure", "Tools", "Measure", lambda: window.use_tool("measure"), "M",
                "Measure lengths, heights, angles and areas, in plan and in 3D.",
                tool="measure"),
        *looks,
        Command("names_3d", "View", "Names in 3D", lambda: view.set_names(not view.names),
                "Shift+L", "Show or hide the names of planes in 3D.", button="Names"),
        Command("names_plan", "View", "Names in plan",
                lambda: window.plan.set_names(not window.plan.names), "Shift+M",
                "Show or hide the names of planes in plan."),
        Command("parallel_3d", "View", "Parallel 3D view",
                lambda: view.set_parallel(not view.camera.parallel), "Shift+P",
                "Draw the 3D view without perspective.", button="Parallel"),
    )  # fmt: skip


def connect_views(window: MainWindow) -> None:
    """Give the 3D view its buttons, and keep the marks of the switches true."""
    actions, view = window.actions_by_id, window.view3d
    switches = [actions[i] for i in _SWITCHES]
    for action in (*switches, actions["names_plan"]):
        action.setCheckable(True)

    def check() -> None:
        actions["names_3d"].setChecked(view.names)
        actions["names_plan"].setChecked(window.plan.names)
        actions["parallel_3d"].setChecked(view.camera.parallel)

    view.look_changed.connect(check)
    actions["names_plan"].triggered.connect(check)
    check()
    looks = [actions[f"look_{side}"] for side, *_ in _LOOKS]
    view.set_buttons(looks, [*switches, actions["fit"]])
