"""What the work is called on screen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from roofmodel.document.work import Attic, Over, WallFace

OVER_WORDS: Final[Mapping[Over, str]] = {
    "new deck": "New roof, nothing comes off",
    "tear-off": "Tear off the old roof",
    "re-cover": "Lay over the old roof",
}
ATTIC_WORDS: Final[Mapping[Attic, str]] = {
    "vented": "Vented attic",
    "spray foam": "Spray foam under the deck, not vented",
}
FACE_WORDS: Final[Mapping[WallFace, str]] = {
    "outside": "the walls' outside",
    "inside": "the walls' inside",
}


def capital(text: str) -> str:
    """The text with its first letter large.

    >>> capital("snow guard")
    'Snow guard'
    """
    return text[:1].upper() + text[1:]
