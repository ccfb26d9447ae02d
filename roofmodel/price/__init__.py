"""Cost to price, in exact decimal money."""

from roofmodel.price.pricing import priced
from roofmodel.price.types import Priced, PricedLine, Step
from roofmodel.price.work import Site

__all__ = ["Priced", "PricedLine", "Site", "Step", "priced"]
