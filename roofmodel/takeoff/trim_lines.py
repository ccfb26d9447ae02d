"""The take-off's lines on trim: how many stock lengths of each part, and what they are cut to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from roofmodel.takeoff.cutting_plans import alike
from roofmodel.takeoff.trim_types import TrimBar, TrimPlan
from roofmodel.takeoff.types import Quantity
from roofmodel.units import LengthUnits, format_length


def trim_lines(
    plans: Iterable[TrimPlan], group: str, after: str, units: LengthUnits
) -> list[Quantity]:
    """Stock lengths to order per part and length; `after` follows the name of each line.

    The numbers in front of the terms of `how` add up to the quantity.
    """
    by_item: dict[str, list[tuple[TrimPlan, list[TrimBar]]]] = defaultdict(list)
    for plan in plans:
        for stock in sorted({b.stock_length for b in plan.bars}):
            item = f"{plan.part.capitalize()}, {format_length(stock, units)} long{after}"
            by_item[item].append((plan, [b for b in plan.bars if b.stock_length == stock]))
    out = []
    for item, some in by_item.items():
        runs = dict.fromkeys(p.run for _, bars in some for b in bars for p in b.pieces)
        out.append(
            Quantity(
                group,
                item,
                "count",
                sum(len(bars) for _, bars in some),
                " + ".join(term for plan, bars in some for term in _terms(plan, bars, units)),
                "; ".join(dict.fromkeys(r.source for r in runs)),
                (),
                tuple(dict.fromkeys(e for r in runs for e in r.edges)),
            )
        )
    return out


def cut_lines(plans: Iterable[TrimPlan], units: LengthUnits) -> list[Quantity]:
    """One line per way of cutting a bar: how many, and to what. Building and covering are ids."""
    out = []
    for plan in plans:
        for bars in alike(b for b in plan.bars if not b.is_whole):
            stock, runs = bars[0].stock_length, dict.fromkeys(
                p.run for b in bars for p in b.pieces
            )  # fmt: skip
            words = " + ".join(format_length(c, units) for c in bars[0].cuts)
            names = "; ".join(_names(b) for b in bars)
            out.append(
                Quantity(
                    "Cutting plan",
                    f"{plan.part.capitalize()}, {format_length(stock, units)} cut to {words}",
                    "count",
                    len(bars),
                    f"for {names}; offcut {format_length(bars[0].offcut, units)}",
                    "; ".join(dict.fromkeys(r.source for r in runs)),
                    (),
                    tuple(dict.fromkeys(e for r in runs for e in r.edges)),
                    plan.building,
                    plan.system,
                )
            )
    return out


def proof_words(plan: TrimPlan, units: LengthUnits) -> str:
    """How good a plan is known to be for its pieces, as words."""
    least = "least metal" if plan.by_metal else "fewest lengths"
    if plan.state == "best":
        return f"{least}, proved"
    if plan.state == "open":
        gap = format_length(plan.gap, units) if plan.by_metal else f"{plan.gap:.0f}"
        return f"perhaps {gap} more than the {least}: not proved"
    return "an estimate, each piece from a length of its own"


def _names(bar: TrimBar) -> str:
    return " + ".join(p.run.edge_name for p in bar.pieces)


def _terms(plan: TrimPlan, bars: Sequence[TrimBar], units: LengthUnits) -> list[str]:
    """The terms of a sum that counts these bars of a plan."""
    whole: dict[str, int] = defaultdict(int)
    for bar in bars:
        if bar.is_whole:
            run = bar.pieces[0].run
            whole[f"for {run.edge_name} ({run.how})"] += 1
    terms = [f"{n} {words}" for words, n in whole.items()]
    cut = [b for b in bars if not b.is_whole]
    if cut:
        pieces = "; ".join(
            " and ".join(f"{format_length(p.length, units)} {p.run.edge_name}" for p in b.pieces)
            for b in cut
        )
        terms.append(
            f"{len(cut)} cut to pieces ({pieces}: {proof_words(plan, units)};"
            f" {plan.waste * 100:.1f} % of the part's metal is left over)"
        )
    return terms
