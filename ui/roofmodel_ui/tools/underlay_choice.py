"""Which underlay the tools and the panel of Place work on: one per session, chosen in the list."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from roofmodel.document import Underlay
from roofmodel_ui.session import Session


class UnderlayChoice(QObject):
    """The underlay chosen in the list, or else the one on top that can be seen."""

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._id = ""
        self._pile: tuple[str, ...] = tuple(u.id for u in session.project.underlays)
        session.project_changed.connect(self._follow)

    def current(self) -> Underlay | None:
        """The underlay to work on, if there is any."""
        pile = self._session.project.underlays
        for underlay in pile:
            if underlay.id == self._id:
                return underlay
        seen = [u for u in pile if u.visible]
        return (seen or list(pile))[-1] if pile else None

    def choose(self, underlay_id: str) -> None:
        """Work on this one from now on."""
        if underlay_id != self._id:
            self._id = underlay_id
            self.changed.emit()

    def _follow(self) -> None:
        """One that was just loaded is the one to work on."""
        pile = tuple(u.id for u in self._session.project.underlays)
        fresh = [i for i in pile if i not in self._pile]
        self._pile = pile
        if fresh:
            self.choose(fresh[-1])


def choice_of(session: Session) -> UnderlayChoice:
    """The choice that all of a session share."""
    return session.findChild(UnderlayChoice) or UnderlayChoice(session)
