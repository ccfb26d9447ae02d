"""What the shop makes: flat blanks of trim with their bend lines and end cuts, slit from coil."""

from roofmodel.shop.blanks import Blank, BlankBend, BlankEnd, Blanks, alike, blanks_of
from roofmodel.shop.slitting import CoilCut, SlitPlan, Slitting, Strip, slitting_of

__all__ = [
    "Blank",
    "BlankBend",
    "BlankEnd",
    "Blanks",
    "CoilCut",
    "SlitPlan",
    "Slitting",
    "Strip",
    "alike",
    "blanks_of",
    "slitting_of",
]
