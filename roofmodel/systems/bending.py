"""The three formulas of bending sheet metal. Angles are deviations from flat, degrees; any one
unit of length.

Vocabulary
----------
allowance
    The length of flat metal that a bend takes up: along the neutral line, which lies at
    `k_factor` times the thickness from the inside.
outside setback
    From where the bend begins to where the outsides of both legs would meet.
deduction
    What the flat is shorter than the outside lengths of both legs together.
"""

from __future__ import annotations

import math


def bend_allowance(angle: float, inside_radius: float, thickness: float, k_factor: float) -> float:
    """Flat length of a bend.

    >>> round(bend_allowance(90.0, 0.125, 0.125, 0.44), 4)  # calcady.com/trade/welding
    0.2827
    """
    return math.radians(abs(angle)) * (inside_radius + k_factor * thickness)


def outside_setback(angle: float, inside_radius: float, thickness: float) -> float:
    """Outside setback of a bend of less than 180 degrees."""
    return (inside_radius + thickness) * math.tan(math.radians(abs(angle)) / 2.0)


def bend_deduction(angle: float, inside_radius: float, thickness: float, k_factor: float) -> float:
    """Two setbacks less the allowance.

    >>> round(bend_deduction(90.0, 0.125, 0.125, 0.44), 4)
    0.2173
    """
    return 2.0 * outside_setback(angle, inside_radius, thickness) - bend_allowance(
        angle, inside_radius, thickness, k_factor
    )
