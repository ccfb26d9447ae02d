"""What the same roof is offered as: other systems, colours and options, each with its price."""

from __future__ import annotations

from typing import Final

import msgspec

from roofmodel.document.work import ChosenExtra, Over
from roofmodel.errors import DocumentError

MOST_OFFERS: Final = 4


class Offer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One way to do the job. `system` is one of the job's (its id; "": as drawn), `colour` one of
    the price book ("": none in particular), `over` what is done with the old roof and `extras`
    what is chosen beside the roof (None: both as the job says)."""

    id: str
    name: str
    system: str = ""
    colour: str = ""
    over: Over | None = None
    extras: tuple[ChosenExtra, ...] | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise DocumentError("An offer needs a name.")
