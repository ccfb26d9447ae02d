"""Commands of the views: the sides to look from in 3D, its switches, and measuring."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from roofmodel_ui import settings

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.view3d.widget import View3D
    from roofmodel_ui.window import MainWindow

_LOOKS: Final = (
    ("south", "From the south", "South", "Shift+S"),
    ("east", "From the east", "East", "Shift+E"),
    ("north", "From the north", "North", "Shift+N"),
    ("west", "From the west", "West", "Shift+W"),
    ("above", "From above", "Above", "Shift+A"),
    ("corner", "From a corner", "Corner", "Shift+C"),
)
LIT_ROOM_MM: Final = 4000.0
"""How much of the plan is shown around what is lit, where the views go there."""
_SWITCHES: Final = ("names_3d", "parallel_3d")
"""Those with a button in the 3D view; the names in plan have none."""


def view_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command

    def look_from(side: str) -> None:
        window.view3d.look_from(side)

    def switch_names() -> None:
        window.view3d.set_names(not window.view3d.names)

    def switch_parallel() -> None:
        window.view3d.set_parallel(not window.view3d.camera.parallel)

    looks = [
        Command(f"look_{side}", "View", title, partial(look_from, side), keys,
                f"Look at the roof in 3D {title.lower()}.", button=word)
        for side, title, word, keys in _LOOKS
    ]  # fmt: skip
    return (
        Command("measure", "Tools", "Measure", lambda: window.use_tool("measure"), "M",
                "Measure lengths, heights, angles and areas, in plan and in 3D.",
                tool="measure"),
        *looks,
        Command("names_3d", "View", "Names in 3D", switch_names, "Shift+L",
                "Show or hide the names of planes in 3D.", button="Names"),
        Command("names_plan", "View", "Names in plan",
                lambda: window.plan.set_names(not window.plan.names), "Shift+M",
                "Show or hide the names of planes in plan."),
        Command("parallel_3d", "View", "Parallel 3D view", switch_parallel, "Shift+P",
                "Draw the 3D view without perspective.", button="Parallel"),
    )  # fmt: skip


def connect_views(window: MainWindow) -> None:
    """Make switches of those commands that are, and keep the mark of the plan's true."""
    actions = window.actions_by_id
    for each in (*_SWITCHES, "names_plan"):
        actions[each].setCheckable(True)
    actions["names_3d"].setChecked(settings.NAMES_3D.get())
    plan = actions["names_plan"]
    plan.setChecked(window.plan.names)
    plan.triggered.connect(lambda: plan.setChecked(window.plan.names))
    window.session.highlight.sought.connect(partial(_go_to_lit, window))


def _go_to_lit(window: MainWindow) -> None:
    """Have plan and 3D show where what is lit is."""
    results, lit = window.session.results, window.session.highlight.items
    places = [
        (float(x), float(y))
        for p in results.surface.planes
        if p.id in lit
        for x, y in p.outline[:, :2]
    ]
    places += [(float(end[0]), float(end[1])) for e in results.surface.edges if e.id in lit
               for end in (e.start, e.end)]  # fmt: skip
    if places:
        window.plan.show_places(places, LIT_ROOM_MM)
        if (view := window.made_view3d) is not None:
            view.show_places(places, LIT_ROOM_MM)


def connect_view3d(window: MainWindow, view: View3D) -> None:
    """Give the 3D view its buttons, and keep the marks of its switches true."""
    actions = window.actions_by_id
    switches = [actions[i] for i in _SWITCHES]

    def check() -> None:
        actions["names_3d"].setChecked(view.names)
        actions["parallel_3d"].setChecked(view.camera.parallel)

    view.look_changed.connect(check)
    check()
    looks = [actions[f"look_{side}"] for side, *_ in _LOOKS]
    view.set_buttons(looks, [*switches, actions["fit"]])
