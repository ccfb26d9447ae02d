"""The tool that lays panels: it selects planes, and drags the line where their panels begin."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QObject

from roofmodel.document import Point
from roofmodel.document.layout_edits import start_by_hand
from roofmodel.errors import RoofmodelError
from roofmodel.scene.start_lines import StartLine, snap_places
from roofmodel.surface import PlaneId
from roofmodel.takeoff import Panel, cut_words
from roofmodel.units import format_length, parse_length
from roofmodel_ui.covering import keys_of, planes_selected, words_for
from roofmodel_ui.hiding import shown
from roofmodel_ui.plan.panel_lines import laid_shown, shown_ends, start_lines
from roofmodel_ui.plan.picking import distance_to_segment, is_inside, plane_at
from roofmodel_ui.selection import Selectable
from roofmodel_ui.session import Session
from roofmodel_ui.tools.base import Key, Overlay, PlanEvent, Tool
from roofmodel_ui.tools.choices import Offer
from roofmodel_ui.tools.sizes import default_unit
from roofmodel_ui.tools.snaps import snapping_of

MOVE_LINE = "Move starting line"
_SNAP_PX = 10.0
"""Pixels that `PlanEvent.snap` stands for."""
_BELOW_PX = 70.0
"""What a dragged line comes to stands so far below it, clear of its panels."""


@dataclass(slots=True)
class _Drag:
    """A starting line taken hold of: the line as it was, whose planes move, and where it is."""

    line: StartLine
    keys: list[str]
    offset: float
    mm_per_px: float
    snapped: str = ""


class LayTool(Tool):
    """Click planes to select them; drag a starting line, or type how far in it lies."""

    name = "Lay panels"
    hint = (
        "Click planes to lay their panels; Ctrl+A takes all. Drag the starting line, or type how"
        " far in it lies, then Enter."
    )

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(session, parent)
        self.commands: tuple[Offer, ...] = ()
        """What the small bar offers for the planes selected; the window puts it here."""
        self._asked = False
        self._press: PlanEvent | None = None
        self._drag: _Drag | None = None
        self._moved = False
        self._hover: Selectable | None = None
        self._panel: Panel | None = None
        self._at: Point = (0.0, 0.0)
        session.selection_changed.connect(self._selection_changed)

    def press(self, event: PlanEvent) -> None:
        if self._asked:
            # A click elsewhere takes what was typed; a wrong one stays to be mended.
            if self.typed:
                self.enter()
                if self._asked:
                    return
            self._stop()
        self._press, self._moved, self._panel = event, False, None
        line = self._line_at(event)
        self._drag = None
        if line is not None:
            keys, fine = self._keys_with(line), event.snap / _SNAP_PX
            self._drag = _Drag(line, keys, line.offset, fine)

    def move(self, event: PlanEvent) -> None:
        drag = self._drag
        if drag is None or self._press is None:
            self._hover_over(event)
            return
        if not self._moved and math.dist(event.at, self._press.at) < event.snap / 2:
            return
        self._moved = True
        self._follow(drag, event)
        try:
            # On every move the pointer has the last word; the edit comes when it lets go.
            self.session.preview(start_by_hand(self.session.project, drag.keys, drag.offset))
        except RoofmodelError as error:
            self.session.message.emit(str(error), True)
        self.changed.emit()

    def release(self, event: PlanEvent) -> None:
        drag, self._drag = self._drag, None
        pressed, self._press = self._press, None
        if drag is not None and self._moved:
            self._moved = False
            self.session.attempt(MOVE_LINE, lambda p: start_by_hand(p, drag.keys, drag.offset))
            if drag.line.plane not in {p.id for p in planes_selected(self.session)}:
                self.session.select((drag.line.plane,))
            self.changed.emit()
        elif pressed is not None and math.dist(event.at, pressed.at) < event.snap:
            self._click(event, drag)

    def let_go(self) -> None:
        held, self._drag, self._press, self._moved = self._moved, None, None, False
        if held:
            self.session.cancel_preview()
            self.changed.emit()

    def cancel(self) -> None:
        if self._drag is not None:
            self.let_go()
        elif self._asked:
            self._stop()
        else:
            self.session.select(())

    def leave(self) -> None:
        self._panel = None
        self.let_go()
        self._stop()

    def busy(self) -> bool:
        return self._asked or (self._drag is not None and self._moved)

    def key(self, key: Key, text: str = "") -> bool:
        if key == "tab" and not self.busy():
            return self._select_next()
        if key == "text" and text[:1].isdigit() and not self.busy():
            self.ask()
        return super().key(key, text)

    def _select_next(self) -> bool:
        """Go to the next plane with panels, by keys alone; after the last one the key leaves the
        plan, as it does elsewhere."""
        keys = list(start_lines(self.session.results))
        chosen = [p.id for p in planes_selected(self.session)]
        at = keys.index(chosen[-1]) + 1 if chosen and chosen[-1] in keys else 0
        if at >= len(keys):
            self.session.select(())
            return False
        self.session.select((keys[at],))
        return True

    def ask(self) -> bool:
        """Begin to type where the starting line lies; whether there is a plane to type it for."""
        if not self._lines_meant():
            self.session.message.emit("Select a plane with panels first: click it.", True)
            return False
        self._asked, self.typed = True, ""
        self.changed.emit()
        return True

    def enter(self) -> None:
        text = self.typed.strip()
        if not self._asked or not text:
            self._stop()
            return
        keys = keys_of(planes_selected(self.session))
        unit = default_unit(self.session.project.units)
        if self.session.attempt(
            MOVE_LINE, lambda p: start_by_hand(p, keys, parse_length(text, unit))
        ):
            self._stop()

    def note(self) -> str:
        planes = planes_selected(self.session)
        return words_for(planes) if planes and self._lines_meant() else ""

    def offers(self) -> tuple[Offer, ...]:
        if self.busy() or not self._lines_meant():
            return ()
        return self.commands

    def overlay(self) -> Overlay:
        drag = self._drag
        if drag is not None and self._moved:
            ends = drag.line.moved_to(drag.offset)
            guide = ends if drag.snapped else ()
            low = min(ends, key=lambda p: p[1])
            at = low[0], low[1] - _BELOW_PX * drag.mm_per_px
            return Overlay(label=self._label(drag), at=at, guide=guide, dots=guide[:1])
        lines = self._lines_meant() if self._asked else []
        if lines:
            words = f"Starting line of {words_for(planes_selected(self.session))}, from the end"
            return Overlay(label=words, field=self.typed, at=lines[0].head)
        if self._panel is not None:
            return Overlay(hover=self._hover, label=self._panel_words(self._panel), at=self._at)
        return Overlay(hover=self._hover)

    def _panel_words(self, panel: Panel) -> str:
        """What a panel is cut to: its number, length and ends."""
        words = [f"Panel {panel.number}", format_length(panel.length, self.session.project.units)]
        for end, cut in (("upper", panel.upper), ("lower", panel.lower)):
            if cut.shape != "square":
                words.append(f"{end} end {cut_words(cut)}")
        return " · ".join(words)

    def _label(self, drag: _Drag) -> str:
        """Where the line lies, and what it comes to on its plane."""
        units = self.session.project.units
        words = [f"{format_length(drag.offset, units)} from the end"]
        words += [drag.snapped] if drag.snapped else []
        for found in self.session.results.take_off.layings:
            if found.plane == drag.line.plane and found.panels:
                gross = sum(p.gross_area for p in found.panels)
                net = sum(p.net_area for p in found.panels)
                words.append(f"first {format_length(found.first_width, units)}")
                words.append(f"last {format_length(found.last_width, units)}")
                words.append(f"{len(found.panels)} panels")
                words.append(f"waste {100.0 * (gross / net - 1.0):.1f} %")
        return " · ".join(words)

    def _follow(self, drag: _Drag, event: PlanEvent) -> None:
        """Bring the line to the pointer, or to a corner near it."""
        width = drag.line.width
        offset = min(max(drag.line.offset_of(event.at), 0.0), width)
        drag.snapped = ""
        found = laid_shown(self.session.results).get(drag.line.plane)
        if found is not None and not event.free and snapping_of(self.session).on:
            panel = found.laying.panels[0]
            places = snap_places(drag.line, found.plane, panel.right - panel.left)
            near, words = min(places, key=lambda place: abs(place[0] - offset))
            if abs(near - offset) <= event.snap:
                offset, drag.snapped = near, words
        drag.offset = offset

    def _line_at(self, event: PlanEvent) -> StartLine | None:
        """The starting line near the pointer, one of a selected plane before others."""
        chosen = {p.id for p in planes_selected(self.session)}
        near = []
        for key, line in start_lines(self.session.results).items():
            foot, head = shown_ends(line, event.snap / _SNAP_PX)
            distance = distance_to_segment(event.at, foot.toTuple(), head.toTuple())
            if distance <= event.snap:
                near.append((key not in chosen, distance, line))
        return min(near, key=lambda n: n[:2])[2] if near else None

    def _keys_with(self, line: StartLine) -> list[str]:
        """The planes that a dragged line stands for: all selected if its plane is among them."""
        planes = planes_selected(self.session)
        return keys_of(planes) if any(p.id == line.plane for p in planes) else [str(line.plane)]

    def _lines_meant(self) -> list[StartLine]:
        chosen = {p.id for p in planes_selected(self.session)}
        return [x for key, x in start_lines(self.session.results).items() if key in chosen]

    def _click(self, event: PlanEvent, drag: _Drag | None) -> None:
        item = self._plane_at(event) if drag is None else drag.line.plane
        if item is None:
            self.session.select(())
        elif event.add:
            self.session.toggle(item)
        else:
            self.session.select((item,))

    def _hover_over(self, event: PlanEvent) -> None:
        line = self._line_at(event)
        hover: Selectable | None = line.plane if line else self._plane_at(event)
        panel = self._panel_at(event)
        # What is said of a panel goes along with the pointer.
        if hover != self._hover or panel is not None or self._panel is not None:
            self._hover, self._panel, self._at = hover, panel, event.at
            self.changed.emit()

    def _plane_at(self, event: PlanEvent) -> PlaneId | None:
        """The plane under the pointer: panels lie on nothing else, however near an edge it is."""
        plane = plane_at(shown(self.session.results), event.at)
        return None if plane is None else plane.id

    def _panel_at(self, event: PlanEvent) -> Panel | None:
        """The panel under the pointer, if its plane is selected and no other lies over it."""
        plane = plane_at(shown(self.session.results), event.at)
        if plane is None or plane.id not in {p.id for p in planes_selected(self.session)}:
            return None
        found = laid_shown(self.session.results).get(plane.id)
        panels = () if found is None else found.laying.panels
        return next((p for p in panels if is_inside(event.at, p.outline)), None)

    def _stop(self) -> None:
        if self._asked:
            self._asked, self.typed = False, ""
            self.changed.emit()

    def _selection_changed(self) -> None:
        if self._asked and not self._lines_meant():
            self._stop()
