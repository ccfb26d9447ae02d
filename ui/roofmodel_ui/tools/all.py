"""The tools by the names of their commands, each made when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from importlib import import_module
from typing import Final

from PySide6.QtCore import QObject

from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Tool

_MADE_BY: Final = {
    "select": "edit.EditTool",
    "outline": "outline.OutlineTool",
    "plane": "outline.PlaneTool",
    "opening": "opening.OpeningTool",
    "scale": "scale.ScaleTool",
    "measure": "measure.MeasureTool",
    "lay": "lay.LayTool",
    "dormer": "dormer.DormerTool",
    "ready": "ready.ReadyTool",
    "rectangle": "rectangle.RectangleTool",
    "move_picture": "underlay.MovePictureTool",
    "level_picture": "underlay.LevelPictureTool",
}
"""Module and class of each: a window begins with Select, so the others are imported late."""


class Tools(Mapping[str, Tool]):
    """The tools of a window; `connect` gets each with its name once it is made."""

    def __init__(
        self, session: Session, parent: QObject, connect: Callable[[str, Tool], None]
    ) -> None:
        self._session, self._parent, self._connect = session, parent, connect
        self._made: dict[str, Tool] = {}

    def __getitem__(self, name: str) -> Tool:
        if name not in self._made:
            module, kind = _MADE_BY[name].split(".")
            make: type[Tool] = getattr(import_module(f"roofmodel_ui.tools.{module}"), kind)
            tool = self._made[name] = make(self._session, self._parent)
            self._connect(name, tool)
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(_MADE_BY)

    def __len__(self) -> int:
        return len(_MADE_BY)

    def made(self) -> tuple[Tool, ...]:
        """Those that were asked for so far; nothing can be begun with the others."""
        return tuple(self._made.values())
