"""What is wrong or doubtful in a project, as data: one sentence each and a place to go to."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """A doubt about the project.

    `serious` means that part of the roof could not be built. `section` is the section's id or
    ""; `places` are plan points (x, y), mm, to look at.
    """

    sentence: str
    serious: bool = False
    section: str = ""
    places: tuple[tuple[float, float], ...] = ()
