"""How sure the answer is: low and high of quantities and price, and what to measure next."""

from roofmodel.spread.inputs import Input, inputs_of
from roofmodel.spread.readings import Measurement, measurements_of
from roofmodel.spread.run import Range, Spread, narrowing, spread_of

__all__ = [
    "Input",
    "Measurement",
    "Range",
    "Spread",
    "inputs_of",
    "measurements_of",
    "narrowing",
    "spread_of",
]
