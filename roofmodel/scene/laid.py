"""A roof plane together with the panels laid on it, as a key for what is drawn of them."""

from __future__ import annotations

from collections.abc import Iterable

from roofmodel.surface import Plane, PlaneId
from roofmodel.takeoff import Laying


class Laid:
    """A plane and its panels. It equals another with the very same panels: the take-off gives the
    same ones again as long as nothing of their plane changes, though the plane is a new object."""

    __slots__ = ("laying", "plane")

    def __init__(self, plane: Plane, laying: Laying) -> None:
        self.plane, self.laying = plane, laying

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Laid) and self.laying is other.laying

    def __hash__(self) -> int:
        return hash(self.laying)


def laid_on(planes: Iterable[Plane], layings: Iterable[Laying]) -> dict[PlaneId, Laid]:
    """Those of the planes that have panels, with these."""
    known = {p.id: p for p in planes}
    return {x.plane: Laid(known[x.plane], x) for x in layings if x.panels and x.plane in known}
