"""The take-off's lines on trim: how many stock lengths of each part, what they are cut to, and
what the pieces of every run cover."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from roofmodel.takeoff.coverings import Coverings
from roofmodel.takeoff.cutting_plans import alike
from roofmodel.takeoff.formula import counted
from roofmodel.takeoff.trim_types import TrimBar, TrimPlan, TrimRun
from roofmodel.takeoff.types import Quantity
from roofmodel.units import MM_PER_IN, LengthUnits, format_length

KEY = "trim:"
"""Before the name of a part: its key in the price book."""


def trim_lines(
    plans: Sequence[TrimPlan],
    group: str,
    after: str,
    coverings: Coverings,
    units: LengthUnits,
    *,
    bought: bool = True,
) -> list[Quantity]:
    """Stock lengths to order per part, bend and length; `after` follows the name of each line.
    Not `bought`: they are a share of lines that are, and have no key."""
    by_item: dict[str, list[tuple[TrimPlan, list[TrimBar]]]] = defaultdict(list)
    for plan in plans:
        for stock in sorted({b.stock_length for b in plan.bars}):
            item = f"{_named(plan.name)}, {format_length(stock, units)} long{after}"
            by_item[item].append((plan, [b for b in plan.bars if b.stock_length == stock]))
    return [
        _line(
            Quantity(
                group,
                item,
                "count",
                sum(len(bars) for _, bars in some),
                counted(term for _, bars in some for term in _terms(bars, units)),
                "",
                note="; ".join(_notes([plan for plan, _ in some], units, bought=bought)),
                key=_key(some[0][0], some[0][1][0].stock_length) if bought else "",
                piece=some[0][1][0].stock_length,
            ),
            [p.run for _, bars in some for b in bars for p in b.pieces],
            coverings.buildings,
            coverings.names,
        )
        for item, some in by_item.items()
    ]


def _key(plan: TrimPlan, stock: float) -> str:
    """The name in the price book; one that comes in several lengths has its length with it."""
    lengths = {s for r in plan.runs for s in r.stocks}
    part = plan.runs[0].ruling_part
    return f"{KEY}{part}" + (f", {stock / MM_PER_IN:.6g} in" if len(lengths) > 1 else "")


def run_lines(
    runs: Iterable[TrimRun], group: str, coverings: Coverings, units: LengthUnits
) -> list[Quantity]:
    """One line per run: the length its pieces cover, laps taken off."""
    out = []
    for run in runs:
        item = f"{_named(run.part)} on {run.edge_name}"
        line = Quantity(group, item, "mm", run.covered, run.how, "", note=run.note)
        out.append(_line(line, [run], coverings.buildings, coverings.names))
    return out


def cut_lines(plans: Sequence[TrimPlan], units: LengthUnits) -> list[Quantity]:
    """One line per way of cutting a bar: how many, and to what. Building and covering are ids."""
    out = []
    for plan in plans:
        for bars in alike(b for b in plan.bars if not b.is_whole):
            words = " + ".join(format_length(c, units) for c in bars[0].cuts)
            stock = format_length(bars[0].stock_length, units)
            names = Counter(" + ".join(p.run.edge_name for p in b.pieces) for b in bars)
            line = Quantity(
                "Cutting plan",
                f"{_named(plan.name)}, {stock} cut to {words}",
                "count",
                len(bars),
                counted((n, name) for name, n in names.items()),
                "",
                note=f"offcut {format_length(bars[0].offcut, units)}",
            )
            ids = {plan.building: plan.building}, {plan.system: plan.system}
            out.append(_line(line, [p.run for b in bars for p in b.pieces], *ids))
    return out


def _line(
    line: Quantity,
    runs: Iterable[TrimRun],
    buildings: Mapping[str, str],
    coverings: Mapping[str, str],
) -> Quantity:
    """The line with source, planes and edges of some runs, and the names of the one building and
    the one covering they belong to."""
    some = list(dict.fromkeys(runs))
    return replace(
        line,
        source="; ".join(dict.fromkeys(r.source for r in some)),
        planes=tuple(dict.fromkeys(r.plane for r in some if r.plane is not None)),
        edges=tuple(dict.fromkeys(e for r in some for e in r.edges)),
        building=_only(buildings, {r.building for r in some}),
        covering=_only(coverings, {r.system for r in some}),
    )


def _only(names: Mapping[str, str], ids: set[str]) -> str:
    """The name of the one id; "" where there are several."""
    return names[ids.pop()] if len(ids) == 1 else ""


def _named(name: str) -> str:
    return name[:1].upper() + name[1:]


def proof_words(plan: TrimPlan, units: LengthUnits) -> str:
    """How good a plan is known to be for its pieces, as words."""
    least = "least metal" if plan.by_metal else "fewest lengths"
    if plan.state == "best":
        return f"{least}, proved"
    if plan.state == "open":
        gap = format_length(plan.gap, units) if plan.by_metal else f"{plan.gap:.0f}"
        return f"perhaps {gap} more than the {least}: not proved"
    return "an estimate, each piece from a length of its own"


def _notes(plans: Sequence[TrimPlan], units: LengthUnits, *, bought: bool) -> list[str]:
    """How good the plans are, and what is priced as another part."""
    notes = dict.fromkeys(_left_over(plan, units) for plan in plans)
    if bought:
        notes |= dict.fromkeys(
            f"priced as {run.ruled_as}" for p in plans for run in p.runs[:1] if run.ruled_as
        )
    return [*notes]


def _left_over(plan: TrimPlan, units: LengthUnits) -> str:
    return f"{proof_words(plan, units)}, {plan.waste * 100:.1f} % of its metal is left over"


def _terms(bars: Sequence[TrimBar], units: LengthUnits) -> list[tuple[int, str]]:
    """Counts of bars: whole ones by run, the others by what they are cut to."""
    whole = Counter(b.pieces[0].run.edge_name for b in bars if b.is_whole)
    cut = Counter(
        " and ".join(format_length(c, units) for c in b.cuts) for b in bars if not b.is_whole
    )
    terms = [(n, name) for name, n in whole.items()]
    return terms + [(n, f"cut to {words}") for words, n in cut.items()]
