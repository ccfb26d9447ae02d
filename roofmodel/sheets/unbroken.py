"""Words that no line may be broken in: a length such as 10'-6 1/2", a number with its unit,
"1 of 3", "4 × 10'-6". Whoever breaks text into lines asks here for its words."""

from __future__ import annotations

import re
from typing import Final

_BOUND: Final = "\u00a0"
_NUMBER: Final = r"(?:\d+'-)?(?:\d+ \d+/\d+|\d+/\d+|\d[\d,]*(?:\.\d+)?|\.\d+)"
_UNIT: Final = r"(?:\"|'|°|%| (?:in|ft|mm|cm|m|lb|kg|sq ft|sq in|m²|mm²|ga)(?![\w]))"
_AMOUNT: Final = rf"(?:± )?{_NUMBER}{_UNIT}?"
_WORD: Final = re.compile(
    rf"(?<![\w./'])(?:\d+ of \d+(?!\w)|(?:\d[\d,]* × )*{_AMOUNT}(?: = 1'-0\")?)"
)

_BEFORE_WORD: Final = re.compile(r"(?<![^\s\u00a0])\d[\d,]*(?: ×|:) ")
"""A count or a key, which says something of the word that follows: "2 × Ridge 1", "24: ..."."""

_IN_MARK: Final = re.compile(r"(?<=\d) - (?=\d)")
"""Between plane and number in a panel's mark: "South 1 - 12"."""


def unbroken(text: str) -> list[str]:
    """The words of a line of text, in order, with the blanks that must stay inside them.

    >>> unbroken("cut 3 × 6 1/2 in of it, piece 1 of 3")
    ['cut', '3 × 6 1/2 in', 'of', 'it,', 'piece', '1 of 3']
    >>> unbroken(".509 in from the first border, ± 1/8\\"")
    ['.509 in', 'from', 'the', 'first', 'border,', '± 1/8"']
    >>> unbroken("24: 2 × Ridge 1, 1:24")
    ['24: 2 × Ridge', '1,', '1:24']
    >>> unbroken("South 1 - 12, 15; North 1 - 3")
    ['South', '1 - 12,', '15;', 'North', '1 - 3']
    """
    bound = _WORD.sub(lambda found: found[0].replace(" ", _BOUND), text)
    bound = _BEFORE_WORD.sub(lambda found: found[0].replace(" ", _BOUND), bound)
    bound = _IN_MARK.sub(f"{_BOUND}-{_BOUND}", bound)
    return [word.replace(_BOUND, " ") for word in bound.split(" ")]
