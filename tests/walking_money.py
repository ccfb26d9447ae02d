"""Arguments for the random walk's edits of prices, offers, measurements and releases."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from roofmodel.document.offers import Offer
from roofmodel.document.releases import ReleasedPiece
from roofmodel.systems.prices import Price, Task
from roofmodel_io.defaults import offered_systems
from roofmodel_io.parts_toml import built_in_parts
from roofmodel_io.prices_toml import sample_prices

if TYPE_CHECKING:
    from tests.walking import Arguments, Chance


def _a(*positional: object, **named: object) -> Arguments:
    return positional, named


def _price(c: Chance) -> Arguments:
    key = c.rnd.choice(("panel screw", "clip", "gold leaf"))
    return _a(Price(key, "pack", Decimal(c.rnd.randint(1, 99))))


def _offer_id(c: Chance) -> str:
    offers = [o.id for o in c.project.offers]
    return "none" if c.seldom() or not offers else c.rnd.choice(offers)


def _colour(c: Chance) -> str:
    return "No such" if c.seldom() else c.rnd.choice(("", "Charcoal", "White"))


def _length(c: Chance) -> Arguments:
    section = c.rnd.choice(c.project.sections()) if c.project.sections() else None
    if section is None or c.seldom():
        return _a("none", "e1", 3000.0)
    ring = c.rnd.choice(section.rings)
    k = c.rnd.randrange(len(ring.edges))
    (ax, ay), (bx, by) = ring.corners[k], ring.corners[(k + 1) % len(ring.corners)]
    old = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    return _a(section.id, ring.edges[k].id, old + c.rnd.choice((-50.0, 25.0, 75.0)))


def _pitch(c: Chance) -> Arguments:
    section = c.rnd.choice(c.project.sections()) if c.project.sections() else None
    if section is None:
        return _a("none", 0.5, 0.4)
    slopes = [s.slope for r in section.rings for e in r.edges for s in e.profile if s.slope]
    old = slopes[0] if slopes else 0.5
    return _a(section.id, old, 0.0 if c.seldom() else round(old + 0.04, 6))


def _rules(c: Chance) -> Arguments:
    if c.rnd.random() < 0.5:
        return _a(lift_weight=1.0 if c.seldom() else c.feet(1, 3))
    some = c.rnd.sample((609.6, 914.4, 1219.2, 1250.0), c.rnd.randint(1, 3))
    return _a(trim_coils=() if c.seldom() else tuple(some))


_PIECES: Final = (
    ReleasedPiece("panel", "South 1 - 1", "panel", 3000.0, 914.4),
    ReleasedPiece("trim", "Cap on Ridge 1", "ridge cap", 3200.4, 329.7, drawing="Ridge cap 7"),
)

MONEY: Final[dict[str, Callable[[Chance], Arguments]]] = {
    "set_prices": lambda c: _a(None if c.seldom() else sample_prices()),
    "set_price": _price,
    "set_task": lambda c: _a(Task("Polish", "roof squares", Decimal(c.rnd.randint(1, 9)))),
    "set_shares": lambda c: _a(margin=Decimal(3 if c.seldom() else c.rnd.randint(0, 40)) / 100),
    "set_colour": lambda c: _a(_colour(c)),
    "add_offer": lambda c: _a("" if c.seldom() else "Another", colour=_colour(c)),
    "change_offer": lambda c: _a(_offer_id(c), name=f"Offer {c.rnd.randint(1, 9)}"),
    "remove_offer": lambda c: _a(_offer_id(c)),
    "as_offered": lambda c: _a(Offer("o", "As", c.system_id(), _colour(c), "tear-off")),
    "set_tolerances": lambda c: _a(tracing=-1.0 if c.seldom() else c.feet(0, 1)),
    "read_length": _length,
    "read_pitch": _pitch,
    "set_parts": lambda c: _a(built_in_parts()[c.rnd.randint(0, 3) :]),
    "add_offered": lambda c: _a(c.rnd.choice(offered_systems())),
    "add_sections": lambda c: _a(built_in_parts()[: c.rnd.randint(1, 9)]),
    "forget_readings": lambda c: _a(),
    "released": lambda c: _a(
        () if c.seldom() else _PIECES,
        "2026-11-25",
        c.rnd.choice(("", "first")),
    ),
    "set_shop_rules": _rules,
}
