"""Commands of the Count stage: its lists, their search, copying."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.window import MainWindow

_LISTS: Final = (
    ("quantities", "Quantities", "Show every quantity with how it came about."),
    ("cut_list", "Cut list", "Show the panels to cut, plane by plane."),
    ("cutting_plan", "Cutting plan", "Show what trim to cut from which stock length."),
)


def count_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command, has_roof

    return (
        Command("search_lines", "Edit", "Search quantities", partial(_search, window), "Ctrl+F",
                "Go to the quantities and type what to look for."),
        Command("copy_lines", "Edit", "Copy quantities", partial(_copy, window), "Ctrl+Shift+C",
                "Copy the list in front of the Count stage for a spreadsheet.", has_roof),
        *(Command(f"list_{name}", "View/Lists", title, partial(_show, window, place), "", tip)
          for place, (name, title, tip) in enumerate(_LISTS)),
    )  # fmt: skip


def _search(window: MainWindow) -> None:
    window.show_stage("Count")
    window.side.count.begin_search()


def _copy(window: MainWindow) -> None:
    window.show_stage("Count")
    window.side.count.copy()


def _show(window: MainWindow, place: int) -> None:
    window.show_stage("Count")
    window.side.count.tabs.setCurrentIndex(place)
