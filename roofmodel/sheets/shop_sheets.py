"""Every sheet that a job has for shop and crew, in the order in which they are handed over."""

from __future__ import annotations

from dataclasses import replace

from roofmodel.sheets.layout_sheet import layout_plan
from roofmodel.sheets.panel_sheet import panel_shapes_plan
from roofmodel.sheets.profile_sheet import profile_plan
from roofmodel.sheets.saddle_sheet import saddle_plan
from roofmodel.sheets.shop_types import SheetPlan, ShopSheet
from roofmodel.sheets.trim_sheet import blank_plan
from roofmodel.shop.job import ShopJob


def sheet_plans(job: ShopJob) -> tuple[SheetPlan, ...]:
    """All sheets: layouts plane after plane, shapes of panels system after system, then every
    section of trim, every blank and every saddle. No two have one name."""
    systems = dict.fromkeys(s.panel.system for s in job.shapes)
    plans = [
        *(layout_plan(job, sheet) for sheet in job.sheets),
        *(panel_shapes_plan(job, system) for system in systems),
        *(profile_plan(job, drawing) for drawing in job.profiles),
        *(blank_plan(job, drawing) for drawing in job.trim),
        *(saddle_plan(job, saddle) for saddle in job.saddles),
    ]
    used: dict[str, int] = {}
    out = []
    for plan in plans:
        key = plan.name.casefold()
        used[key] = used.get(key, 0) + 1
        out.append(plan if used[key] == 1 else _renamed(plan, f"{plan.name} ({used[key]})"))
    return tuple(out)


def _renamed(plan: SheetPlan, name: str) -> SheetPlan:
    draw = plan.draw

    def drawn(scale: float) -> ShopSheet:
        return replace(draw(scale), name=name)

    return replace(plan, name=name, draw=drawn)
