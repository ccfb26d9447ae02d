"""Cost to price, in exact decimal money."""

from roofmodel.price.pricing import not_priced, priced
from roofmodel.price.types import Priced, PricedLine, Step
from roofmodel.price.work import Site

__all__ = ["Priced", "PricedLine", "Site", "Step", "not_priced", "priced"]
