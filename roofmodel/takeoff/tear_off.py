"""What comes off the old roof, or what is laid over it: weights, loads, battens."""

from __future__ import annotations

from typing import Final, NamedTuple

from roofmodel.surface import PlaneId
from roofmodel.systems.layer_parts import OldCovering
from roofmodel.takeoff.courses import rows_of
from roofmodel.takeoff.formula import area, fine_enough, labelled, rounded_up, size, sum_of
from roofmodel.takeoff.layers import DECK
from roofmodel.takeoff.site import Site, bought_in_lengths, summed
from roofmodel.takeoff.types import Quantity
from roofmodel.units import (
    KG_PER_LB,
    MM2_PER_SQUARE,
    MM3_PER_CU_YD,
    LengthUnits,
    format_length,
    round_half_up,
)

TEAR_OFF: Final = "Tear-off"


class _Words(NamedTuple):
    """How weights and volumes are told: for which area, in which units."""

    square: str
    mm2: float
    mass: str
    kg: float
    heap: str
    mm3: float


_FEET: Final = _Words("100 sq ft", MM2_PER_SQUARE, "lb", KG_PER_LB, "cu yd", MM3_PER_CU_YD)
_METRIC: Final = _Words("1 m²", 1e6, "kg", 1.0, "cubic metres", 1e9)


def _words(units: LengthUnits) -> _Words:
    return _FEET if units.system == "feet" else _METRIC


def _digits(value: float, places: int = 4) -> str:
    """Decimals without zeros at their end: a whole number stays one."""
    text = f"{round_half_up(value * 10**places) / 10**places:.{places}f}"
    return text.rstrip("0").rstrip(".")


def _layers(count: int) -> str:
    return f"{count} layer" if count == 1 else f"{count} layers"


def tear_off_lines(site: Site) -> list[Quantity]:
    """What is torn off and carried away, or the battens over what stays."""
    if not site.covered:
        return []
    old_roof = site.project.work.old_roof
    if old_roof.over == "re-cover":
        return _battens(site)
    known = site.project.layers.old_coverings
    old = next((c for c in known if c.key == old_roof.covering), None)
    if old_roof.over == "new deck" or old is None:
        return []
    planes = tuple(p.id for p in site.covered)
    mm2 = sum(p.true_area for p in site.covered)
    return [*_heap(site, old, mm2, planes), *_fasteners(site, old, mm2, planes)]


def weight_of(mm2: float, old: OldCovering, layers: int, felt: float, felts: int) -> float:
    """Weight (kg) of an old roof of this area; `felt` is kg per m² of one of its layers."""
    return mm2 / 1e6 * (old.weight * layers + felt * felts)


def loads_of(weight: float, volume: float, payload: float, box: float) -> int:
    """Trailer loads: by weight (kg) or by volume (mm³), whichever takes more."""
    return max(rounded_up(weight / payload), rounded_up(volume / box))


def _heap(site: Site, old: OldCovering, mm2: float, planes: tuple[PlaneId, ...]) -> list[Quantity]:
    """Squares, weight, volume and trailer loads."""
    old_roof, waste, units = site.project.work.old_roof, site.project.layers.waste, site.units
    words, count = _words(units), old_roof.layers
    weight = weight_of(mm2, old, count, waste.felt, old_roof.felts)
    volume = weight / waste.density * 1e9
    square = "100 sq ft" if units.system == "feet" else area(MM2_PER_SQUARE, units, 3)
    squares = f"{area(mm2, units)} ÷ {square} × {_layers(count)}"
    each = words.mm2 / 1e6 / words.kg
    terms = [f"{_digits(old.weight * each)} {words.mass} × {_layers(count)}"]
    if old_roof.felts:
        felt = labelled(f"{_digits(waste.felt * each)} {words.mass}", "felt")
        terms.append(f"{felt} × {_layers(old_roof.felts)}")
    heavy = f"{area(mm2, units)} ÷ {words.square} × ({sum_of(terms)})"
    density = _digits(waste.density * words.mm3 / 1e9 / words.kg)
    # its decimals stay, even zeros: a whole number would be exact
    heap = f"{weight / words.kg:.{1 if weight > 100.0 else 4}f}"
    loose = f"{heap} {words.mass} ÷ {density} {words.mass} per {words.heap}"
    return [
        Quantity(
            *(TEAR_OFF, f"Old roof to tear off, {old.key}", "squares"),
            mm2 / MM2_PER_SQUARE * count,
            *(squares, old.source, planes),
            note="each layer counts" if count > 1 else "",
        ),
        Quantity(
            *(TEAR_OFF, "Weight torn off", "kg", weight, heavy),
            *(f"{old.source}; felt: {waste.felt_source}", planes),
        ),
        Quantity(
            *(TEAR_OFF, "Volume torn off, loose", "mm³", volume),
            *(loose, waste.density_source, planes),
        ),
        _loads(site, weight, volume, planes),
    ]


def _loads(site: Site, weight: float, volume: float, planes: tuple[PlaneId, ...]) -> Quantity:
    waste, words = site.project.layers.waste, _words(site.units)
    count = loads_of(weight, volume, waste.payload, waste.box)
    payload, box = _digits(waste.payload / words.kg), _digits(waste.box / words.mm3)

    def written(finer: int) -> tuple[str, float]:
        load = _digits(weight / words.kg, 1 + 2 * finer)
        heap = _digits(volume / words.mm3, 2 + 2 * finer)
        text = (
            f"larger of ({load} {words.mass} ÷ {payload} {words.mass} rounded up,"
            f" {heap} {words.heap} ÷ {box} {words.heap} rounded up)"
        )
        by_weight = rounded_up(float(load) / float(payload))
        return text, max(by_weight, rounded_up(float(heap) / float(box)))

    how = fine_enough(written, count)
    return Quantity(
        *(TEAR_OFF, "Trailer loads", "count", count, how, waste.trailer_source, planes),
        key="trailer load",
    )


def _fasteners(
    site: Site, old: OldCovering, mm2: float, planes: tuple[PlaneId, ...]
) -> list[Quantity]:
    """Old fasteners pulled or driven flat."""
    layers, units = site.project.work.old_roof.layers, site.units
    words = _words(units)
    if old.fasteners <= 0.0:
        return []
    count = rounded_up(mm2 / 1e6 * old.fasteners * layers)
    rate = _digits(old.fasteners * words.mm2 / 1e6)

    def written(finer: int) -> tuple[str, float]:
        text = area(mm2, units, 2 * finer)
        squares = float(text.split(" ")[0]) / (100.0 if units.system == "feet" else 1.0)
        how = f"{text} ÷ {words.square} × {rate} × {_layers(layers)} rounded up"
        return how, rounded_up(squares * float(rate) * layers)

    how = fine_enough(written, count)
    item = "Old fasteners pulled or driven flat"
    return [Quantity(TEAR_OFF, item, "count", count, how, old.source, planes)]


def _battens(site: Site) -> list[Quantity]:
    """Rows of battens on each plane, then the boards they take."""
    batten, units = site.project.layers.batten, site.units
    lines, totals = [], []
    for plane, case in site.cases.items():
        rows = rows_of(case, batten.spacing)
        if not rows:
            continue
        total = sum(x for _, x in rows)
        lines.append(
            Quantity(
                *(DECK, f"Battens on {case.plane.name}", "mm", total),
                _row_words([x for _, x in rows], units),
                batten.source,
                (plane,),
                note=f"{len(rows)} rows, {size(batten.spacing, units)} apart and one at the top",
            )
        )
        totals.append((total, case.plane.name, plane))
    if totals:
        how = summed(((t, name) for t, name, _ in totals), units)
        item = f"{batten.key[:1].upper()}{batten.key[1:]}s over the old roof"
        line = (DECK, item, sum(t for t, _, _ in totals), how, batten.source)
        ids = (tuple(p for _, _, p in totals), ())
        note = "boards butt end to end"
        lines.append(bought_in_lengths(line, batten.length, batten.key, ids, note, units))
    return lines


def _row_words(lengths: list[float], units: LengthUnits) -> str:
    count: dict[str, int] = {}
    for mm in lengths:
        text = format_length(mm, units)
        count[text] = count.get(text, 0) + 1
    return sum_of(text if n == 1 else f"{n} × {text}" for text, n in count.items())
