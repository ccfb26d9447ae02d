"""What is wrong or doubtful in a project, as data: one sentence each, a place to go to and,
where possible, an edit that mends it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from roofmodel.document.types import Project


@dataclass(frozen=True, slots=True, eq=False)
class Mend:
    """An edit that takes a problem away; `words` say what it does."""

    words: str
    edit: Callable[[Project], Project]


@dataclass(frozen=True, slots=True)
class Problem:
    """A doubt about the project.

    `serious` means that part of the roof could not be built. `section` is the id of the part
    it is about or ""; `places` are plan points (x, y), mm, to look at.
    """

    sentence: str
    serious: bool = False
    section: str = ""
    places: tuple[tuple[float, float], ...] = ()
    mend: Mend | None = None
