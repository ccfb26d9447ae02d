"""What the program remembers from one start to the next: one table of keys, kinds and defaults."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Generic, TypeVar

from PySide6.QtCore import QByteArray, QSettings

_T = TypeVar("_T", str, bool, int, float, tuple[str, ...], QByteArray)


@dataclass(frozen=True, slots=True)
class Setting(Generic[_T]):
    """One thing to remember: where it is kept and what holds until it is set."""

    key: str
    default: _T

    def get(self) -> _T:
        """The value kept, or the default; so too if somebody wrote nonsense into the file."""
        value: Any = QSettings().value(self.key)
        default: Any = self.default
        if value is None:
            return self.default
        try:
            return _as(type(default), value)  # type: ignore[no-any-return]
        except (TypeError, ValueError):
            return self.default

    def put(self, value: _T) -> None:
        """Keep a value."""
        QSettings().setValue(self.key, list(value) if isinstance(value, tuple) else value)


def _as(kind: type, value: Any) -> Any:
    """A value as its kind: settings files hold only texts."""
    if kind is tuple:
        values = value if isinstance(value, list) else [value] if value else []
        return tuple(str(v) for v in values)
    if kind is bool:
        text = str(value).lower()
        if text not in ("true", "false"):
            raise ValueError(text)
        return text == "true"
    if kind is QByteArray:
        if not isinstance(value, QByteArray):
            raise TypeError(type(value).__name__)
        return value
    return kind(value)


GEOMETRY: Final = Setting("window/geometry", QByteArray())
STAGE: Final = Setting("window/stage", "")
THEME: Final = Setting("window/theme", "system")
"""One of `theme.CHOICES`."""
RECENT: Final[Setting[tuple[str, ...]]] = Setting("files/recent", ())
FOLDER: Final = Setting("files/folder", "")
"""Where the last file was opened or saved."""
NAMES_3D: Final = Setting("view3d/names", True)
NAMES_PLAN: Final = Setting("plan/names", True)
PANELS: Final = Setting("view/panels", True)
"""Panels in plan and ribs in 3D, in the stages where they are of use."""
SNAPPING_OFF: Final[Setting[tuple[str, ...]]] = Setting("plan/snapping_off", ())
"""Kinds of `roofmodel.geometry.snapping` that are switched off."""
