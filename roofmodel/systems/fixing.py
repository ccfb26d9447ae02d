"""How a roofing system is fastened, sealed and closed, as data. Values live in the system's file
and in the project; lengths mm, slopes rise over run.

Vocabulary
----------
field, edge zone
    The edge zone is a strip along the plane's eaves, rakes, ridges and hips where wind pulls
    hardest; the rest is the field. Fasteners stand closer in the zone. What the maker's tested
    listing says comes before any spacing here.
stitch screw
    Holds two sheets together at their side lap.
pancake screw
    A flat-headed screw for what panels or trim cover: clips, drip edges, cleats.
closure
    A strip shaped like the ribs that fills the room under them (inside) or over the flats beneath
    trim (outside).
"""

from __future__ import annotations

import math
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems.kinds import EdgeKind

PRACTICE: Final = "common practice, no source"
_MOST = 3048.0


def _check(what: str, length: float, least: float = 0.0) -> None:
    if not least <= length <= _MOST:
        low = "1 in" if least else "0"
        raise DocumentError(f"Fixing, {what}: the length must lie between {low} and 10 ft.")


def _check_count(what: str, count: int, least: int = 0) -> None:
    if not least <= count <= 1000:
        raise DocumentError(f"Fixing, {what}: the number must lie between {least} and 1000.")


def _check_slope(what: str, slope: float) -> None:
    if not 0.0 <= slope <= 1000.0:
        raise DocumentError(f"Fixing, {what}: the pitch must be 0 or more, such as 0.25.")


class ScrewRows(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Screws through the face of panels, in level rows.

    Rows lie `field` apart; in the edge zone at most `edge`: the field's spacing by a whole
    number, so that every row of the field runs on through the zone. Each rib takes `per_rib`
    screws in a row, `ends_per_rib` at eave, ridge and end laps, `end_distance` from the panel's
    end; a level row closer than `least_gap` below the last of these falls away there. Stitch
    screws at side laps lie `stitch` apart, on planes flatter than `low_slope` `low_stitch`.
    """

    field: float = 914.4
    edge: float = 609.6
    per_rib: int = 1
    ends_per_rib: int = 2
    end_distance: float = 38.1
    least_gap: float = 152.4
    stitch: float = 609.6
    low_stitch: float = 304.8
    low_slope: float = 0.25

    def __post_init__(self) -> None:
        _check("screws.field", self.field, 25.0)
        _check("screws.edge", self.edge, 25.0)
        _check("screws.stitch", self.stitch, 25.0)
        _check("screws.low_stitch", self.low_stitch, 25.0)
        _check("screws.end_distance", self.end_distance)
        _check("screws.least_gap", self.least_gap)
        _check_count("screws.per_rib", self.per_rib, 1)
        _check_count("screws.ends_per_rib", self.ends_per_rib, 1)
        _check_slope("screws.low_slope", self.low_slope)


class ClipRows(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Concealed clips along each seam: `field` apart, in the edge zone at most `edge` (as the rows
    of screws), the first and the last `end_distance` from the panel's ends; one closer than
    `least_gap` below the last falls away. Each takes `screws`.
    """

    field: float = 609.6
    edge: float = 304.8
    end_distance: float = 152.4
    least_gap: float = 152.4
    screws: int = 2

    def __post_init__(self) -> None:
        _check("clips.field", self.field, 25.0)
        _check("clips.edge", self.edge, 25.0)
        _check("clips.end_distance", self.end_distance)
        _check("clips.least_gap", self.least_gap)
        _check_count("clips.screws", self.screws)


class EdgeZone(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where the edge zone lies: along the plane's edges of these `kinds`, `width` wide in plan;
    without a width as ASCE 7 lays out small buildings."""

    width: float | None = None
    kinds: tuple[EdgeKind, ...] = (
        EdgeKind.EAVE,
        EdgeKind.HIGH_EAVE,
        EdgeKind.RAKE,
        EdgeKind.RIDGE,
        EdgeKind.HIP,
    )

    def __post_init__(self) -> None:
        if self.width is not None and not 0.0 <= self.width <= 100_000.0:
            raise DocumentError(
                "The width of the edge zone must lie between 0 and 100 m (328 ft)."
            )


class TrimFixing(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How one part of the trim is held: `rows` of screws `spacing` apart, at each lap of two
    pieces so many `rivets` and a bead of sealant of `lap_bead` mm; `tape` rows of butyl tape run
    along it."""

    screw: Literal["trim screw", "pancake screw"] = "trim screw"
    spacing: float = 304.8
    rows: int = 2
    rivets: int = 4
    lap_bead: float = 304.8
    tape: int = 0
    source: str = PRACTICE

    def __post_init__(self) -> None:
        _check("trim: spacing", self.spacing, 25.0)
        _check("trim: lap_bead", self.lap_bead)
        _check_count("trim: rows", self.rows)
        _check_count("trim: rivets", self.rivets)
        _check_count("trim: tape", self.tape)


class Tape(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Butyl tape: rows in each side lap of panels screwed through their face on planes flatter
    than `low_slope`, rows in each end lap, and rows along edges, for each side that is covered."""

    side_laps: int = 1
    low_slope: float = 0.25
    end_laps: int = 2
    edges: dict[EdgeKind, int] = {}

    def __post_init__(self) -> None:
        _check_count("tape.side_laps", self.side_laps)
        _check_count("tape.end_laps", self.end_laps)
        _check_slope("tape.low_slope", self.low_slope)
        for kind, rows in self.edges.items():
            _check_count(f"tape.edges.{kind}", rows)


class Sealant(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Sealant from tubes: beads along edges, and around each pipe's boot a bead of `boot` mm."""

    edges: dict[EdgeKind, int] = {}
    boot: float = 609.6

    def __post_init__(self) -> None:
        _check("sealant.boot", self.boot)
        for kind, beads in self.edges.items():
            _check_count(f"sealant.edges.{kind}", beads)


class Closures(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where closures stand: `inside` ones at the lower ends of panels on these kinds of edges,
    `outside` ones at upper ends, one on each side that is covered. A pitch transition may be
    both: the plane above it ends there, the one below it begins there."""

    inside: tuple[EdgeKind, ...] = ()
    outside: tuple[EdgeKind, ...] = ()


class Pack(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How something is bought: in a `name` ("bag") of `size` pieces, or mm of length; `spare` is
    the share bought beyond what is counted."""

    name: str
    size: float
    spare: float = 0.0
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise DocumentError("A pack needs a name, such as bag or roll.")
        if not (1.0 <= self.size <= 1e7 and 0.0 <= self.spare <= 1.0):
            raise DocumentError(
                f"A {self.name} must hold 1 or more, and its spare share lie between 0 and 1."
            )


PACKS: Final = {
    "panel screw": Pack("bag", 250, 0.05),
    "stitch screw": Pack("bag", 250, 0.05),
    "trim screw": Pack("bag", 250, 0.05),
    "pancake screw": Pack("bag", 250, 0.05),
    "clip": Pack("box", 100, 0.05),
    "rivet": Pack("bag", 250, 0.05),
    "butyl tape roll": Pack("roll", 13716.0, 0.10),
    "sealant tube": Pack("tube", 7620.0),
    "inside closure": Pack("piece", 914.4),
    "outside closure": Pack("piece", 914.4),
    "vent strip roll": Pack("roll", 3048.0),
    "pipe boot": Pack("boot", 1),
}
"""All goods that this module knows, by their key in the price book."""
LENGTHS: Final = (
    *("butyl tape roll", "sealant tube", "inside closure", "outside closure", "vent strip roll"),
)
"""Those that are counted by length."""


class Fixing(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of it. Screws in rows and foam closures are for panels screwed through their face,
    clips for those with clips; `panel.fastening` of the system says which.

    `trim` is by part of the trim, `other_trim` for parts that are not named; each pipe's boot
    takes `boot_screws`; `packs` are by key, those of `PACKS` where none is named. `sources` says
    where a value comes from, by its key in the file: "screws.field".
    """

    screws: ScrewRows = ScrewRows()
    clips: ClipRows = ClipRows()
    zone: EdgeZone = EdgeZone()
    trim: dict[str, TrimFixing] = {}
    other_trim: TrimFixing = TrimFixing()
    tape: Tape = Tape()
    sealant: Sealant = Sealant()
    closures: Closures = Closures()
    boot_screws: int = 8
    packs: dict[str, Pack] = {}
    sources: dict[str, str] = {}

    def __post_init__(self) -> None:
        _check_count("boot_screws", self.boot_screws)
        for key, pack in self.packs.items():
            if key not in PACKS:
                raise DocumentError(f"There is no pack of '{key}'; known are {', '.join(PACKS)}.")
            if key not in LENGTHS and pack.size != round(pack.size):
                raise DocumentError(f"A {pack.name} of '{key}' must hold a whole number.")

    def trim_of(self, part: str) -> TrimFixing:
        """How a part of the trim is held."""
        return self.trim.get(part, self.other_trim)

    def pack_of(self, key: str) -> Pack:
        """How something is bought, by its key."""
        return self.packs.get(key, PACKS[key])

    def source_of(self, *keys: str) -> str:
        """Where values come from, by their keys: "screws.field"; each said once."""
        return "; ".join(dict.fromkeys(self.sources.get(key, PRACTICE) for key in keys))


def row_spacing(field: float, edge: float) -> tuple[float, int]:
    """The spacing (mm) of rows in the edge zone, and how many of them make one of the field's.

    >>> row_spacing(36.0, 24.0)
    (18.0, 2)
    """
    parts = max(1, math.ceil(field / edge - 1e-9))
    return field / parts, parts
