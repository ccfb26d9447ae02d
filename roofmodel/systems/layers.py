"""What lies below the metal and what comes off, with what a job starts with.

`io/roofmodel_io/data/layers.toml` holds the same values for reading and changing; a test keeps
the two alike.
"""

from __future__ import annotations

from typing import Final

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems.fixing import PACKS
from roofmodel.systems.kinds import EdgeKind
from roofmodel.systems.layer_parts import (
    KG_PER_M2_PER_LB_SQUARE,
    PRACTICE,
    Batten,
    Extra,
    Factor,
    Metal,
    OldCovering,
    PanelLimits,
    Roll,
    Sheet,
    Strip,
    Waste,
    feet,
    inches,
)

SYNTHETIC: Final = Roll(
    "synthetic underlayment", inches(48.0), feet(250.0), inches(4.0), inches(6.0),
    "size: building journal; laps: common practice, no source",
)  # fmt: skip
FELT_15: Final = Roll(
    "felt No. 15", inches(36.0), feet(144.0), inches(2.0), inches(6.0),
    "size: vendor's page; laps: contractors' association; two layers below 4/12: model code table"
    " for high wind, from excerpts",
    inches(19.0), 4.0 / 12.0,
)  # fmt: skip
FELT_30: Final = Roll(
    "felt No. 30", inches(36.0), feet(72.0), inches(2.0), inches(6.0),
    "size: vendor's page; laps: contractors' association; two layers below 4/12: model code table"
    " for high wind, from excerpts",
    inches(19.0), 4.0 / 12.0,
)  # fmt: skip
MEMBRANE: Final = Roll(
    "high-temperature membrane", inches(36.0), inches(800.0), inches(3.0), inches(6.0),
    "common practice, no source: 36 in by 66 2/3 ft, side lap 3 in, end lap 6 in",
)  # fmt: skip

_HALF = Strip(inches(18.0), 0.0, "common practice, no source: half a roll, on the roof and up")
_AROUND = Strip(
    inches(18.0), inches(6.0), "common practice, no source: half a roll, lapped at corners"
)
_WHOLE = Strip(inches(36.0), 0.0, "common practice, no source: a whole roll, half on either side")
STRIPS: Final = {
    EdgeKind.VALLEY: _WHOLE,
    EdgeKind.PITCH_TRANSITION: _WHOLE,
    EdgeKind.HEADWALL: _HALF,
    EdgeKind.SIDEWALL: _HALF,
    EdgeKind.UPHILL_SIDE: _AROUND,
    EdgeKind.DOWNHILL_SIDE: _AROUND,
    EdgeKind.SIDE: _AROUND,
}
OVER: Final = {
    EdgeKind.RIDGE: inches(6.0),
    EdgeKind.HIP: inches(6.0),
    EdgeKind.HEADWALL: inches(4.0),
    EdgeKind.SIDEWALL: inches(4.0),
}

_PER_SQUARE = KG_PER_M2_PER_LB_SQUARE
_NAILS = 1.0 / 9.290304
OLD_COVERINGS: Final = (
    OldCovering(
        "three-tab shingles", 250.0 * _PER_SQUARE, 320.0 * _NAILS, False,
        "common practice, no source: hauliers plan 230 to 300 lb; 4 nails to each of 80 shingles",
    ),
    OldCovering(
        "laminated shingles", 350.0 * _PER_SQUARE, 320.0 * _NAILS, False,
        "common practice, no source: hauliers plan 300 to 350 lb; 4 nails to each of 80 shingles",
    ),
    OldCovering(
        "ribbed metal panels", 100.0 * _PER_SQUARE, 90.0 * _NAILS, False,
        "common practice, no source: 80 to 110 screws in a square",
    ),
    OldCovering(
        "wood shakes", 350.0 * _PER_SQUARE, 300.0 * _NAILS, True,
        "weight: common practice, no source; must come off: residential code R908.3, from memory",
    ),
    OldCovering(
        "slate", 900.0 * _PER_SQUARE, 340.0 * _NAILS, True,
        "weight: common practice, no source; must come off: residential code R908.3, from memory",
    ),
    OldCovering(
        "clay or concrete tile", 1000.0 * _PER_SQUARE, 180.0 * _NAILS, True,
        "weight: common practice, no source; must come off: residential code R908.3, from memory",
    ),
)  # fmt: skip
EXTRAS: Final = (
    Extra("gutter", "eaves", feet(10.0)),
    Extra("downspout", "count"),
    Extra("fascia cover", "eaves and rakes", feet(10.0)),
    Extra("snow guard", "count"),
    Extra("snow rail", "length by hand", feet(10.0)),
    Extra("permit", "count"),
    Extra("delivery", "count"),
)
NOT_EXTRAS: Final = ("trailer load", "saddle sheet")
"""Names in the price book of what is counted beside goods and layers."""
LIMITS: Final = {
    "face": PanelLimits(
        0.25, 0.5 / 12.0, feet(60.0), feet(45.0), inches(1.0), inches(2.0),
        "residential code 2021 R905.10.2: 3/12 with unsealed laps, 0.5/12 with sealed ones",
        "makers' pages: steel fastened through its face up to 60 to 80 ft; over 40 to 45 ft:"
        " common practice of transport and handling",
        "common practice, no source: 1 to 2 in past the eave",
    ),
    "clips": PanelLimits(
        0.25, 0.25 / 12.0, feet(150.0), feet(45.0), inches(0.75), inches(1.0),
        "snap-lock seams: common practice, makers ask for 3/12; residential code 2021 R905.10.2:"
        " 0.25/12 for standing seams",
        "makers' pages: clip systems 150 ft and more; over 40 to 45 ft: common practice of"
        " transport and handling",
        "common practice, no source: 3/4 to 1 in, and the hook folded on the eave trim",
    ),
}  # fmt: skip
METALS: Final = {
    "steel": Metal(6.7, "contractors' manual: 6.7 millionths per degree F"),
    "aluminium": Metal(12.8, "handbook value, 23 millionths per degree C"),
    "copper": Metal(17.0 / 1.8, "maker's page: 17 millionths per degree C"),
    "zinc": Metal(22.0 / 1.8, "maker's page: 22 millionths per degree C"),
}
SLOPE_FACTORS: Final = (
    Factor(0.0, 1.0), Factor(7.0 / 12.0, 1.15), Factor(9.0 / 12.0, 1.3), Factor(1.0, 1.5),
)  # fmt: skip
HEIGHT_FACTORS: Final = (Factor(0.0, 1.0), Factor(feet(12.0), 1.1), Factor(feet(22.0), 1.2))


class Layers(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of it. `over` says how far underlayment runs past the plane (mm) by kind of edge,
    `strips` where membrane lies; `pipe_patch` is the length of roll under a pipe's boot; planes
    flatter than `low_slope` may have membrane all over; `limits` go by fastening ("face",
    "clips") or by a system's id; `slope_factors` and `height_factors` are for labour;
    `vent_opening` (mm) is the net free area of vent strips per length of ridge."""

    underlayments: tuple[Roll, ...] = (SYNTHETIC, FELT_15, FELT_30)
    over: dict[EdgeKind, float] = msgspec.field(default_factory=lambda: dict(OVER))
    membrane: Roll = MEMBRANE
    strips: dict[EdgeKind, Strip] = msgspec.field(default_factory=lambda: dict(STRIPS))
    pipe_patch: float = inches(36.0)
    low_slope: float = 0.25
    sheet: Sheet = Sheet(
        "deck sheet", inches(48.0), inches(96.0), inches(0.125),
        "size: common practice; gap: panel association",
    )  # fmt: skip
    batten: Batten = Batten()
    old_coverings: tuple[OldCovering, ...] = OLD_COVERINGS
    waste: Waste = Waste()
    extras: tuple[Extra, ...] = EXTRAS
    limits: dict[str, PanelLimits] = msgspec.field(default_factory=lambda: dict(LIMITS))
    metals: dict[str, Metal] = msgspec.field(default_factory=lambda: dict(METALS))
    slope_factors: tuple[Factor, ...] = SLOPE_FACTORS
    height_factors: tuple[Factor, ...] = HEIGHT_FACTORS
    vent_opening: float = inches(0.75)
    over_source: str = PRACTICE
    patch_source: str = PRACTICE
    labour_source: str = PRACTICE
    vent_source: str = (
        "common practice, no source: makers state 9 to 20 sq in to a foot of vented ridge"
    )

    def __post_init__(self) -> None:
        for what, keys in (
            ("underlayment", [r.key for r in self.underlayments]),
            ("old covering", [c.key for c in self.old_coverings]),
            ("extra", [e.key for e in self.extras]),
        ):
            if len(set(keys)) != len(keys) or not all(k.strip() for k in keys):
                raise DocumentError(f"Every {what} needs a name of its own.")
        goods = (*PACKS, *NOT_EXTRAS, self.membrane.key, self.sheet.key, self.batten.key)
        for extra in self.extras:
            if extra.key in (*goods, *(r.key for r in self.underlayments)) or extra.key.startswith(
                ("panel:", "trim:")
            ):
                raise DocumentError(
                    f"The extra '{extra.key}' has the name of goods that are counted anyway; call"
                    " it something else."
                )
        for what, factors in (("slope", self.slope_factors), ("height", self.height_factors)):
            starts = [f.at for f in factors]
            if not starts or starts[0] != 0.0 or sorted(set(starts)) != starts:
                raise DocumentError(f"Labour by {what} must start at 0 and go up from there.")
        if any(strip.width > self.membrane.width + 1e-6 for strip in self.strips.values()):
            raise DocumentError("A strip of membrane must be no wider than its roll.")
        if not all(0.0 <= v <= 1000.0 for v in self.over.values()):
            raise DocumentError("Underlayment runs 0 to 1000 mm (39 in) past a plane.")
        if not 0.0 <= self.vent_opening <= 100.0:
            raise DocumentError("Vent strips open 0 to 100 mm (48 sq in to a foot) of a ridge.")
        if not (0.0 <= self.pipe_patch <= 10_000.0 and 0.0 <= self.low_slope <= 1000.0):
            raise DocumentError(
                "The patch under a pipe's boot must be up to 10 m long, the low slope 0 or more."
            )
        if not {"face", "clips"} <= set(self.limits):
            raise DocumentError("Limits of panels are needed for both fastenings, face and clips.")

    def limits_of(self, system_id: str, fastening: str) -> PanelLimits:
        """The limits of a system's panels: its own, or those of its fastening."""
        return self.limits.get(system_id, self.limits[fastening])
