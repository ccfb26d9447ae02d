"""What a tool puts up for choice in its small bar under the plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Offer:
    """Something to press in the small bar: its words, a tip, and what it does."""

    words: str
    run: Callable[[], object]
    tip: str = ""
