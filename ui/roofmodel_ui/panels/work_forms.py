"""What is said about the work, in groups: the old roof, below the metal, attic, codes, extras,
labour."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import partial

from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from roofmodel.document import Project
from roofmodel.document.work import EDITIONS, OVERS
from roofmodel.document.work_edits import (
    remove_extra,
    set_extra,
    set_ice_barrier,
    set_labour,
    set_old_roof,
    set_ventilation,
    set_work,
)
from roofmodel.errors import DocumentError
from roofmodel.price.money import plain
from roofmodel.systems.layer_parts import Extra
from roofmodel.units import format_length, format_slope, parse_length
from roofmodel_ui.money_words import number
from roofmodel_ui.panels.bound import BoundForm, Words
from roofmodel_ui.panels.fields import Field, bare_hint, default_unit, heading
from roofmodel_ui.panels.ticks import Tick
from roofmodel_ui.panels.work_words import ATTIC_WORDS, FACE_WORDS, OVER_WORDS, capital
from roofmodel_ui.session import Session

AS_DRAWN = "as drawn"


def old_roof_form(session: Session) -> BoundForm:
    """What is done with the roof that is there."""
    form = BoundForm(session, "Old roof")

    def lies(p: Project) -> bool:
        return p.work.old_roof.over != "new deck"

    def comes_off(p: Project) -> bool:
        return p.work.old_roof.over == "tear-off"

    form.choice(
        Words(
            "What is done",
            "Whether the old roof comes off, stays below battens, or there is none.",
            "Set old roof",
        ),
        lambda p: [(OVER_WORDS[o], o) for o in OVERS],
        lambda p: p.work.old_roof.over,
        lambda p, v: set_old_roof(p, over=v),
    )
    form.choice(
        Words(
            "Old covering",
            "What lies on the roof now: its weight and its fasteners count.",
            "Set old covering",
            lies,
        ),
        lambda p: [(capital(c.key), c.key) for c in p.layers.old_coverings],
        lambda p: p.work.old_roof.covering,
        lambda p, v: set_old_roof(p, covering=v),
    )
    form.text(
        Words(
            "Layers of it",
            "How many layers of the old covering lie over each other, 1 to 9.",
            "Set old layers",
            lies,
        ),
        lambda p: str(p.work.old_roof.layers),
        lambda p, t: set_old_roof(p, layers=_whole(t, "The number of layers", "2")),
    )
    form.text(
        Words(
            "Layers of felt",
            "How many layers of felt lie below it, 0 to 9.",
            "Set old felt",
            comes_off,
        ),
        lambda p: str(p.work.old_roof.felts),
        lambda p, t: set_old_roof(p, felts=_whole(t, "The number of layers of felt", "1")),
    )
    form.share(
        Words("Deck to replace", "The share of the deck that is rotten or broken: deck sheets are"
              " counted for it.", "Set deck to replace", lies),
        lambda p: p.work.old_roof.deck_share,
        lambda p, v: set_old_roof(p, deck_share=v),
    )  # fmt: skip
    return form


def layers_form(session: Session) -> BoundForm:
    """What lies between the deck and the metal."""
    form = BoundForm(session, "Below the metal")

    def ice(p: Project) -> bool:
        return p.work.ice_barrier.on

    form.choice(
        Words("Underlayment", "What is rolled out over the deck.", "Set underlayment"),
        lambda p: [*((capital(r.key), r.key) for r in p.layers.underlayments), ("None", "")],
        lambda p: p.work.underlayment,
        lambda p, v: set_work(p, underlayment=v),
    )
    form.tick(
        Words(
            "None where membrane lies all over",
            "No underlayment under the ice barrier and on planes with membrane all over.",
            "Set underlayment below membrane",
        ),
        lambda p: p.work.less_under_membrane,
        lambda p, on: set_work(p, less_under_membrane=on),
    )
    low = form.tick(
        Words(
            "Membrane all over low slopes",
            "High-temperature membrane over the whole of flat planes.",
            "Set membrane on low slopes",
        ),
        lambda p: p.work.membrane_on_low,
        lambda p, on: set_work(p, membrane_on_low=on),
    )
    low.setToolTip(
        "High-temperature membrane over the whole of planes flatter than"
        f" {format_slope(session.project.layers.low_slope)}."
    )
    form.tick(
        Words(
            "Ice barrier at the eaves",
            "Membrane along the eaves, where the code of the place asks for it.",
            "Set ice barrier",
        ),
        lambda p: p.work.ice_barrier.on,
        lambda p, on: set_ice_barrier(p, on=on),
    )
    form.length(
        Words(
            "It reaches inside by",
            "How far the ice barrier reaches inside the walls, measured level.",
            "Set reach of ice barrier",
            ice,
        ),
        lambda p: p.work.ice_barrier.inside,
        lambda p, v: set_ice_barrier(p, inside=v),
        small=True,
    )
    form.choice(
        Words(
            "Measured from",
            "The face of the walls that this is measured from.",
            "Set face of ice barrier",
            ice,
        ),
        lambda p: [(capital(words), face) for face, words in FACE_WORDS.items()],
        lambda p: p.work.ice_barrier.face,
        lambda p, v: set_ice_barrier(p, face=v),
    )
    form.length(
        Words("Thickness of the walls", "How thick the walls are, for an ice barrier that is"
              " measured from their inside.", "Set thickness of walls",
              lambda p: ice(p) and p.work.ice_barrier.face == "inside"),
        lambda p: p.work.ice_barrier.wall,
        lambda p, v: set_ice_barrier(p, wall=v),
        small=True,
    )  # fmt: skip
    return form


def attic_form(session: Session) -> BoundForm:
    """How the attic is vented."""
    form = BoundForm(session, "Attic")

    def vented(p: Project) -> bool:
        return p.work.ventilation.attic == "vented"

    form.choice(
        Words("Attic", "Whether air moves below the deck, or foam lies against it.", "Set attic"),
        lambda p: [(words, kind) for kind, words in ATTIC_WORDS.items()],
        lambda p: p.work.ventilation.attic,
        lambda p, v: set_ventilation(p, attic=v),
    )
    form.choice(
        Words(
            "Net free area",
            "How large the openings of vents are, as a part of the attic's area.",
            "Set ventilation",
            vented,
        ),
        lambda p: [("1 part in 150", 150), ("1 part in 300", 300)],
        lambda p: p.work.ventilation.ratio,
        lambda p, v: set_ventilation(p, ratio=v),
    )
    form.share(
        Words("Share at the ridge", "Which share of the openings lies high; the rest lies at the"
              " eaves.", "Set ventilation at the ridge", vented),
        lambda p: p.work.ventilation.at_ridge,
        lambda p, v: set_ventilation(p, at_ridge=v),
    )  # fmt: skip
    return form


def codes_form(session: Session) -> BoundForm:
    """Which rules the checks go by, and what they need to know."""
    form = BoundForm(session, "Codes and checks")
    form.choice(
        Words(
            "Residential code",
            "The edition that holds where the house stands.",
            "Set edition of the code",
        ),
        lambda p: [("2009 or older" if e == "2009" else e, e) for e in EDITIONS],
        lambda p: p.work.edition,
        lambda p, v: set_work(p, edition=v),
    )
    form.choice(
        Words(
            "Standard on loads",
            "The edition of ASCE 7 that edge and corner zones go by.",
            "Set edition of the standard",
        ),
        lambda p: [("ASCE 7-16", "7-16"), ("ASCE 7-22", "7-22")],
        lambda p: p.work.wind_edition,
        lambda p, v: set_work(p, wind_edition=v),
    )
    form.length(
        Words(
            "Mean roof height",
            "Halfway between eave and ridge, above the ground; empty: as drawn above the datum.",
            "Set mean roof height",
        ),
        lambda p: p.work.mean_height,
        lambda p, v: set_work(p, mean_height=v),
        empty=AS_DRAWN,
    )
    form.choice(
        Words("Metal", "What panels are made of: how much they grow when they warm.", "Set metal"),
        lambda p: [(capital(m), m) for m in p.layers.metals],
        lambda p: p.work.metal,
        lambda p, v: set_work(p, metal=v),
    )
    form.text(
        Words("It may warm by", "Degrees Fahrenheit between the coldest and the hottest day.",
              "Set warming"),
        lambda p: f"{p.work.warming:g} °F",
        lambda p, t: set_work(p, warming=_degrees(t)),
    )  # fmt: skip
    return form


def labour_form(session: Session) -> BoundForm:
    """What makes the work slower."""
    form = BoundForm(session, "Labour")
    form.length(
        Words(
            "Height of the eaves",
            "Above the ground; high eaves take longer. Empty: as drawn above the datum.",
            "Set height of eaves",
        ),
        lambda p: p.work.labour.eave_height,
        lambda p, v: set_labour(p, eave_height=v),
        empty=AS_DRAWN,
    )
    form.text(
        Words("Factor for access", "1 for a house that a truck can drive up to; 1.2 takes a fifth"
              " longer.", "Set access"),
        lambda p: plain(Decimal(f"{p.work.labour.access:.6g}")),
        lambda p, t: set_labour(p, access=float(number(t, "The factor for access", "1.2"))),
    )  # fmt: skip
    return form


class ExtrasForm(QWidget):
    """Extras of the job's layers, each with its amount."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.ticks: dict[str, Tick] = {}
        self.amounts: dict[str, Field] = {}
        self._shown: tuple[Extra, ...] = ()
        self._rows = QWidget()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._column.addWidget(heading("Extras"))
        self._column.addWidget(self._rows)

    def refresh(self) -> None:
        """Show the document as it is now."""
        project = self.session.project
        if project.layers.extras != self._shown:
            self._rebuild(project.layers.extras)
        chosen = {e.key: e.amount for e in project.work.extras}
        for extra in self._shown:
            self.ticks[extra.key].show_value(extra.key in chosen)
            field = self.amounts[extra.key]
            field.setVisible(extra.key in chosen)
            amount = chosen.get(extra.key)
            field.setPlaceholderText(_unsaid(extra))
            field.setToolTip(_amount_tip(extra, project))
            if amount is None:
                field.show_value("")
            elif extra.measure == "count":
                field.show_value(f"{amount:g}")
            else:
                field.show_value(format_length(amount, project.units))

    def _rebuild(self, extras: Sequence[Extra]) -> None:
        self._shown = tuple(extras)
        rows = QWidget()
        grid = QGridLayout(rows)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(1, 1)
        self.ticks, self.amounts = {}, {}
        for place, extra in enumerate(extras):
            tick = Tick(capital(extra.key), partial(self._choose, extra.key))
            tick.setToolTip(_TIPS[extra.measure])
            field = Field(f"Amount of {extra.key}", partial(self._take, extra))
            kept = field.sizePolicy()
            kept.setRetainSizeWhenHidden(True)
            field.setSizePolicy(kept)
            grid.addWidget(tick, place, 0)
            grid.addWidget(field, place, 1)
            self.ticks[extra.key], self.amounts[extra.key] = tick, field
        self._column.replaceWidget(self._rows, rows)
        self._rows.deleteLater()
        self._rows = rows

    def _choose(self, key: str, on: bool) -> None:
        if on:
            self.session.attempt("Add extra", lambda p: set_extra(p, key))
        else:
            self.session.attempt("Leave extra out", lambda p: remove_extra(p, key))

    def _take(self, extra: Extra, typed: str) -> None:
        def edit(project: Project) -> Project:
            amount: float | None = None
            if typed.strip() and extra.measure == "count":
                amount = float(number(typed, f"The number of '{extra.key}'", "3"))
            elif typed.strip():
                amount = parse_length(typed, default_unit(project.units))
            return set_extra(project, extra.key, amount)

        self.session.attempt("Set amount of extra", edit)


_TIPS = {
    "eaves": "By the length of the eaves, or by a length of your own.",
    "rakes": "By the length of the rakes, or by a length of your own.",
    "eaves and rakes": "By the length of eaves and rakes, or by a length of your own.",
    "count": "Piece by piece.",
    "length by hand": "By the length that you type.",
}


def _unsaid(extra: Extra) -> str:
    if extra.measure == "count":
        return "1"
    return "type its length" if extra.measure == "length by hand" else "as measured"


def _amount_tip(extra: Extra, project: Project) -> str:
    if extra.measure == "count":
        return "How many; empty: 1."
    hint = bare_hint(project.units, small=False)
    empty = "" if extra.measure == "length by hand" else " Empty: as measured on the roof."
    return f"How long in all.{empty} {hint}"


def _degrees(text: str) -> float:
    return float(number(text.strip().removesuffix("F").removesuffix("°"), "The warming", "200"))


def _whole(text: str, what: str, example: str) -> int:
    value = number(text, what, example)
    if value != int(value):
        raise DocumentError(f"{what} must be a whole number, such as {example}.")
    return int(value)
