"""What the shop makes: flat blanks of trim with their bend lines and end cuts, slit from coil."""

from roofmodel.shop.blanks import Blank, BlankBend, BlankEnd, Blanks, alike, blanks_of
from roofmodel.shop.slitting import CoilCut, SlitPlan, Strip, slit_plans

__all__ = [
    "Blank",
    "BlankBend",
    "BlankEnd",
    "Blanks",
    "CoilCut",
    "SlitPlan",
    "Strip",
    "alike",
    "blanks_of",
    "slit_plans",
]
