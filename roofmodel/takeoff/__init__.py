"""From the roof to what it needs: panels, trim, quantities, each with how it came about."""

from typing import TYPE_CHECKING

from roofmodel.late import late_names

if TYPE_CHECKING:
    from roofmodel.takeoff.coverings import building_names, covering_names
    from roofmodel.takeoff.cutting_plans import alike
    from roofmodel.takeoff.lines import lost_take_off, take_off
    from roofmodel.takeoff.panel_lines import cut_list, cut_words, start_words
    from roofmodel.takeoff.trim import pieces_for
    from roofmodel.takeoff.trim_lines import cut_lines, proof_words
    from roofmodel.takeoff.trim_types import TrimBar, TrimPlan, TrimRun
    from roofmodel.takeoff.types import EndCut, Laying, Panel, Quantity, TakeOff
else:
    __getattr__ = late_names(
        __name__,
        {
            "coverings": "building_names covering_names",
            "cutting_plans": "alike",
            "lines": "lost_take_off take_off",
            "panel_lines": "cut_list cut_words start_words",
            "trim": "pieces_for",
            "trim_lines": "cut_lines proof_words",
            "trim_types": "TrimBar TrimPlan TrimRun",
            "types": "EndCut Laying Panel Quantity TakeOff",
        },
    )

__all__ = [
    "EndCut",
    "Laying",
    "Panel",
    "Quantity",
    "TakeOff",
    "TrimBar",
    "TrimPlan",
    "TrimRun",
    "alike",
    "building_names",
    "covering_names",
    "cut_lines",
    "cut_list",
    "cut_words",
    "lost_take_off",
    "pieces_for",
    "proof_words",
    "start_words",
    "take_off",
]
