"""What a roofing system is made of, as data. The values live in TOML files and in the project.

Vocabulary
----------
coverage
    Width of roof one panel covers, rib to rib, once it is lapped with its neighbour.
lap leg
    The part of a sheet beyond its coverage that goes under the next sheet.
shift
    How far the metal's edge lies from the edge of the plane, in the plane, by kind of edge:
    positive outwards (past the eave), negative back (from a ridge, a valley's centre, a wall).
hem
    What a panel's end is cut longer than the metal's edge, to be folded: it lengthens the cut
    and covers nothing.
run
    A length of edge covered by one kind of trim, piece after piece with laps.
"""

from __future__ import annotations

import math
from typing import Final, Literal

import msgspec

from roofmodel.errors import DocumentError
from roofmodel.systems.fixing import Fixing
from roofmodel.systems.kinds import NODE_KINDS, EdgeKind
from roofmodel.tolerance import COUNT_EPS

NO_SOURCE = "common practice, no source"
NO_IDS: Final = ("other", "not in this job")
"""What stands for a covering in the place of a system's id, and so may be none."""
_MOST_MM: Final = 3048.0
_LONGEST_MM: Final = 100_000.0


class TrimRule(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One part of the trim for one kind of edge: the length it comes in and its lap (mm).

    `part` is also the name of its cross-section. On slopes (rise over run) under `low_slope` it
    laps by `low_lap`, if that is given. `ends` are lengths added where a run ends, by the kind of
    place there; `more_stock` other lengths it comes in; `kerf` what a cut takes. It runs `along`
    the edge once, or on each plane there that the system's panels cover, or at a pitch transition
    on the lower of the two only. Not `bent_to_roof`: it is bent alike everywhere, as a Z closure.
    `reach` is how wide it lies on each plane: where a valley's foot is cut parallel to the eaves
    its corners lie further down than the foot. `hang` is how far it hangs down square to the slope
    of a rake: where it is turned around an upright corner at the rake's foot, its lower end goes
    on by hang × rise/run more than its `ends` say.
    """

    part: str
    stock_length: float
    lap: float
    source: str = "common practice"
    low_lap: float | None = None
    low_slope: float = 0.0
    ends: dict[str, float] = {}
    more_stock: tuple[float, ...] = ()
    kerf: float = 0.0
    along: Literal["edge", "each plane", "lower plane"] = "edge"
    bent_to_roof: bool = True
    reach: float = 0.0
    hang: float = 0.0

    def __post_init__(self) -> None:
        lengths = (self.stock_length, *self.more_stock)
        more = (*self.ends.values(), self.kerf, self.low_slope, self.reach, self.hang)
        if not all(math.isfinite(v) for v in (*lengths, self.lap, *more)):
            raise DocumentError(f"The trim '{self.part}' needs finite lengths.")
        if not all(0 <= lap < min(lengths) for lap in (self.lap, self.low_lap or 0.0)):
            raise DocumentError(
                f"The lap of the trim '{self.part}' must be 0 or more and shorter than its stock"
                " length."
            )
        self._check_cutting()

    def _check_cutting(self) -> None:
        more = (self.kerf, self.reach, self.hang, *self.ends.values())
        if not all(0.0 <= v <= _MOST_MM for v in more) or not 0.0 <= self.low_slope <= 1000.0:
            raise DocumentError(
                f"The trim '{self.part}': ends, kerf, reach and hang must lie between 0 and 3048"
                " mm (10 ft), the low slope must be 0 or more."
            )
        lengths = (self.stock_length, *self.more_stock)
        if len(lengths) > 10 or not all(25.0 <= v <= _LONGEST_MM for v in lengths):
            raise DocumentError(
                f"The trim '{self.part}' may come in up to 10 lengths, each of 25 mm (1 in) to"
                " 100 m (328 ft)."
            )
        for kind in self.ends:
            if kind not in NODE_KINDS:
                raise DocumentError(
                    f"The trim '{self.part}': '{kind}' is no kind of place where edges meet;"
                    f" known are {', '.join(NODE_KINDS)}."
                )


class PanelRules(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How a system's panels are made and laid, lengths mm.

    `fastening` is through the face or by concealed clips. `narrowest` and `widest` are the
    coverages it is made in (None: any). A panel longer than `longest` is split, with end laps of
    `end_lap`, or `low_end_lap` on planes under `low_slope`, and `stagger` between the laps of
    neighbours. `least_width` is what the best start leaves at the ends where it can.
    `cut_offs_serve`: what is cut off at a hip or valley serves as another panel; `turns`: the
    sheet laps as well turned end for end. `rib_spacing`, `rib_height`, `rib_width` are the ribs
    or seams as drawn (spacing 0: at the sides of the coverage only).
    """

    fastening: Literal["face", "clips"] = "face"
    narrowest: float | None = None
    widest: float | None = None
    longest: float | None = None
    end_lap: float = 152.4
    low_end_lap: float = 304.8
    low_slope: float = 0.25
    stagger: float = 609.6
    least_width: float = 0.0
    cut_offs_serve: bool = False
    turns: bool = False
    rib_spacing: float = 0.0
    rib_height: float = 0.0
    rib_width: float = 0.0

    def lap_at(self, slope: float) -> float:
        """The end lap (mm) on a plane of this slope (rise over run)."""
        return self.low_end_lap if slope < self.low_slope - COUNT_EPS else self.end_lap


class RoofingSystem(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A roofing system: panel, how it is held back or run out at edges, and its trim (mm), per
    kind of edge all the parts that an edge takes.

    `vented_shifts` hold instead of `shifts` where the ridge is vented; `hems` are by kind of
    edge, 0 where none is named. `sources` says where a value comes from, by its key in the
    file: "panel.longest", "shifts.valley", "hems.eave".
    """

    id: str
    name: str
    coverage: float
    lap_leg: float
    shifts: dict[EdgeKind, float]
    trim: dict[EdgeKind, tuple[TrimRule, ...]]
    source: str = "common practice"
    panel: PanelRules = PanelRules()
    vented_shifts: dict[EdgeKind, float] = {}
    hems: dict[EdgeKind, float] = {}
    sources: dict[str, str] = {}
    fixing: Fixing = Fixing()

    def __post_init__(self) -> None:
        if self.id.strip().casefold() in NO_IDS:
            raise DocumentError(
                f"A system must not have the id '{self.id}', which stands for what is not covered"
                " with a system; give it another id."
            )
        if not 25.0 <= self.coverage <= 10_000.0:
            raise DocumentError(
                f"The coverage of '{self.name}' must be at least 25 mm (1 in), up to 10 m (33 ft)."
            )
        if not 0 <= self.lap_leg <= self.coverage:
            raise DocumentError(
                f"The lap leg of '{self.name}' must lie between 0 and its coverage."
            )
        for kind, shift in (*self.shifts.items(), *self.vented_shifts.items()):
            if not abs(shift) <= 1000.0:
                raise DocumentError(
                    f"'{self.name}': the shift at a {kind} must lie within 1000 mm (39 in)."
                )
        for kind, hem in self.hems.items():
            if not 0.0 <= hem <= 300.0:
                raise DocumentError(
                    f"'{self.name}': the hem at a {kind} must lie between 0 and 300 mm (12 in)."
                )
        for kind, rules in self.trim.items():
            if len({rule.part for rule in rules}) < len(rules):
                raise DocumentError(
                    f"'{self.name}': the trim of a {kind} names a part twice; name each once."
                )
        self._check_panel()

    def _check_panel(self) -> None:
        rules = self.panel
        if not (rules.narrowest or 0.0) <= self.coverage <= (rules.widest or math.inf):
            raise DocumentError(
                f"The coverage of '{self.name}' must lie between its panel's narrowest and widest."
            )
        if not (
            0 <= rules.least_width <= self.coverage
            and 0 <= rules.stagger <= _LONGEST_MM
            and 0 <= rules.low_slope <= 1000.0
        ):
            raise DocumentError(
                f"'{self.name}': the least width must lie between 0 and the coverage, the"
                " stagger must be 0 to 100 m (328 ft)."
            )
        if not 0 <= rules.end_lap <= rules.low_end_lap <= 1000.0:
            raise DocumentError(
                f"'{self.name}': the end lap must be 0 or more, that on low slopes no shorter,"
                " both up to 1000 mm (39 in)."
            )
        least = 2.0 * rules.low_end_lap + 304.8
        if rules.longest is not None and not least <= rules.longest <= 100_000.0:
            raise DocumentError(
                f"'{self.name}': the longest panel must be 12 in longer than two end laps, and"
                " no longer than 100 m (328 ft)."
            )
        for value in (rules.rib_spacing, rules.rib_height, rules.rib_width):
            if not 0 <= value <= 1000.0:
                raise DocumentError(
                    f"'{self.name}': ribs must be between 0 and 1000 mm (39 in) wide, high and"
                    " apart."
                )

    def source_of(self, key: str) -> str:
        """Where a value of the system comes from, by its key in the file: "panel.longest"."""
        return self.sources.get(key, NO_SOURCE)
