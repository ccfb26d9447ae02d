"""What the user says about the work: what is on the roof now, what goes under the metal, which
rules hold where the house stands. Lengths mm."""

from __future__ import annotations

import math
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError

Over = Literal["new deck", "tear-off", "re-cover"]
Edition = Literal["2009", "2012", "2015", "2018", "2021", "2024"]
"""Of the model residential code; "2009" stands for older ones too."""
Attic = Literal["vented", "spray foam"]
WallFace = Literal["outside", "inside"]
WindEdition = Literal["7-16", "7-22"]
"""Of the standard on loads, ASCE 7."""

OVERS: Final[tuple[Over, ...]] = ("new deck", "tear-off", "re-cover")
EDITIONS: Final[tuple[Edition, ...]] = ("2009", "2012", "2015", "2018", "2021", "2024")


class OldRoof(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What is done with the roof that is there. A "re-cover" leaves it below battens.

    `covering` is one of the old coverings in the job's layers, in `layers` layers over `felts`
    layers of felt; `deck_share` (0 to 1) of the deck is to be replaced.
    """

    over: Over = "new deck"
    covering: str = "laminated shingles"
    layers: int = 1
    felts: int = 1
    deck_share: float = 0.0

    def __post_init__(self) -> None:
        if not (1 <= self.layers <= 9 and 0 <= self.felts <= 9):
            raise DocumentError("An old roof has 1 to 9 layers, and 0 to 9 layers of felt.")
        if not 0.0 <= self.deck_share <= 1.0:
            raise DocumentError("The share of the deck to replace must lie between 0 and 100 %.")


class IceBarrier(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Membrane along the eaves: `inside` is how far it reaches inside the walls, measured level,
    from their outside or inside face; `wall` is how thick they are."""

    on: bool = False
    inside: float = 609.6
    face: WallFace = "outside"
    wall: float = 152.4

    def __post_init__(self) -> None:
        if not (0.0 <= self.inside <= 10_000.0 and 0.0 <= self.wall <= 2000.0):
            raise DocumentError(
                "The ice barrier reaches 0 to 10 m inside walls that are 0 to 2 m thick."
            )


class Ventilation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Of the attic: net free area as one part in `ratio` of its plan area, of which `at_ridge`
    (0 to 1) is high and the rest at the eaves."""

    attic: Attic = "vented"
    ratio: Literal[150, 300] = 150
    at_ridge: float = 0.5

    def __post_init__(self) -> None:
        if not 0.0 <= self.at_ridge <= 1.0:
            raise DocumentError("The share of ventilation at the ridge is 0 to 100 %.")


class ChosenExtra(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An extra of the job's layers: `amount` is its length (mm) or count; None: as measured on
    the roof, where it goes by eaves or rakes, or else one."""

    key: str
    amount: float | None = None

    def __post_init__(self) -> None:
        if self.amount is not None and not 0.0 <= self.amount <= 1e7:
            raise DocumentError(f"The amount of '{self.key}' must be 0 or more.")


class Labour(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What makes labour slower: `eave_height` (mm) is that of the eaves above the ground (None:
    as drawn above the datum), `access` a factor for all that is hard to reach."""

    eave_height: float | None = None
    access: float = 1.0

    def __post_init__(self) -> None:
        if self.eave_height is not None and not 0.0 <= self.eave_height <= 1e6:
            raise DocumentError("The eaves must be 0 to 1 km above the ground.")
        if not 0.1 <= self.access <= 10.0:
            raise DocumentError("The factor for access must lie between 0.1 and 10.")


class Work(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of it. `underlayment` names one of the rolls in the job's layers, "" for none.

    With `less_under_membrane` no underlayment lies under the ice barrier and on planes that have
    membrane all over; `membrane_on_low` puts it all over planes flatter than the layers say.
    `edition` is that of the residential code, `wind_edition` that of the standard on loads;
    `mean_height` (mm) is the mean roof height above the ground (None: as drawn above the datum).
    `metal` names one in the job's layers, `warming` (degrees F) is how much it may warm.
    """

    old_roof: OldRoof = OldRoof()
    underlayment: str = "synthetic underlayment"
    less_under_membrane: bool = False
    membrane_on_low: bool = False
    ice_barrier: IceBarrier = IceBarrier()
    ventilation: Ventilation = Ventilation()
    edition: Edition = "2021"
    wind_edition: WindEdition = "7-22"
    mean_height: float | None = None
    metal: str = "steel"
    warming: float = 200.0
    extras: tuple[ChosenExtra, ...] = ()
    labour: Labour = Labour()

    def __post_init__(self) -> None:
        if self.mean_height is not None and not 0.0 < self.mean_height <= 1e6:
            raise DocumentError("The mean roof height must be more than 0 and up to 1 km.")
        if not (math.isfinite(self.warming) and 0.0 <= self.warming <= 1000.0):
            raise DocumentError("Metal warms by 0 to 1000 degrees F.")
        keys = [e.key for e in self.extras]
        if len(set(keys)) != len(keys):
            raise DocumentError("An extra was chosen twice; change its amount instead.")
