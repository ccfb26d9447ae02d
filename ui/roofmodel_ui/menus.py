"""The order of the menus: what belongs together stands together, parted by lines from the rest."""

from __future__ import annotations

from collections.abc import Mapping
from types import EllipsisType, MappingProxyType
from typing import Final

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu

Group = tuple[str, ...] | EllipsisType

ORDER: Final[Mapping[str, tuple[Group, ...]]] = MappingProxyType(
    {
        "File": (
            ("new", "open", "save", "save_as"),
            ("picture", "load_system", "save_system", "load_layers", "load_parts"),
            ("package",), ..., ("quit",),
        ),
        "Edit": (
            ("undo", "redo"),
            ("set_pitch", "make_gable", "steeper", "flatter", "edge_length", "offset_edge",
             "split_edge"),
            ("reach", "round_outline", "square_up", "align"),
            ("copy", "copy_across", "copy_along", "mirror_across", "mirror_along",
             "turn_quarter", "turn"),
            ("show_hide", "show_all", "add_building", "remove"), ...,
        ),
        "Tools": (
            ("select", "measure"), ("scale", "level_picture", "move_picture"),
            ("outline", "rectangle", "measurements", "ready", "dormer", "plane", "opening"), ...,
        ),
        "View": (
            ("fit", "look_south", "look_east", "look_north", "look_west", "look_above",
             "look_corner"),
            ("names_plan", "names_3d", "panels_shown", "parallel_3d", "snapping"), ...,
        ),
    }
)  # fmt: skip
"""Ids of commands in groups; the dots stand for all that is named nowhere."""


def put_in_order(menus: Mapping[str, QMenu], actions: Mapping[str, QAction]) -> None:
    """Put what is in the menus into their order, with a line between groups."""
    for title, groups in ORDER.items():
        menu = menus[title]
        found = menu.actions()
        named = {actions[i] for g in groups if not isinstance(g, EllipsisType) for i in g}
        rest = [a for a in found if a not in named]
        for action in found:
            menu.removeAction(action)
        for group in groups:
            those = rest if isinstance(group, EllipsisType) else [actions[i] for i in group]
            if those and not menu.isEmpty():
                menu.addSeparator()
            menu.addActions(those)
