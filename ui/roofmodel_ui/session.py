"""The one Qt object that holds the document: project, results, selection, undo."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeAlias

import msgspec
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from roofmodel.document import Project, Step
from roofmodel.errors import RoofmodelError
from roofmodel.results import Results, results_of
from roofmodel_ui.highlighting import Highlight
from roofmodel_ui.planning import Planning, is_estimate
from roofmodel_ui.selection import (
    OutlineEdgeId,
    PartId,
    Selectable,
    Selection,
    outline_edge,
    outline_edges_of,
    part_of,
)

State: TypeAlias = tuple[Project, Results]


class Session(QObject):
    """The current project and what it comes to.

    `opened` after another project took its place; `project_changed` after every edit, undo and
    redo; `result_changed` whenever what is shown changed, also in the middle of a drag;
    `selection_changed`; `message` carries one sentence for the user and whether it is an error.
    """

    opened = Signal()
    project_changed = Signal()
    result_changed = Signal()
    selection_changed = Signal()
    message = Signal(str, bool)

    def __init__(self, project: Project, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.undo_stack = QUndoStack(self)
        self.pictures: dict[str, bytes] = {}
        self.path: Path | None = None
        self._project = project
        self.planning = Planning(self)
        self._results = self.planning.results_of(project)
        self._preview: Results | None = None
        self._selection: Selection = frozenset()
        self._profiles: dict[OutlineEdgeId, tuple[Step, ...]] = {}
        self._remember_profiles()
        self.highlight = Highlight(self)
        self.planning.look()

    @property
    def project(self) -> Project:
        """The project as last edited, without a drag in progress."""
        return self._project

    @property
    def results(self) -> Results:
        """What is shown: the drag in progress, or else the project's results."""
        return self._preview or self._results

    @property
    def selection(self) -> Selection:
        """Planes, roof edges, outline edges, and parts as a whole."""
        return self._selection

    def open(
        self, project: Project, path: Path | None, pictures: dict[str, bytes] | None = None
    ) -> None:
        """Start afresh with a project; undo begins empty and clean."""
        results = self.planning.results_of(project)
        self.path, self.pictures = path, dict(pictures or {})
        self.undo_stack.clear()
        self.undo_stack.setClean()
        self._selection = frozenset()
        self._profiles.clear()
        self._show(project, results)
        self.selection_changed.emit()
        self.opened.emit()

    def edit(self, text: str, after: Project, merge: str | None = None) -> None:
        """Make an edit that can be undone. Edits in a row with one `merge` name are one step."""
        self._preview = None
        if after == self._project:
            self.result_changed.emit()
            return
        before = (self._project, self._results)
        state = (after, _results_after(self._results, after, self.planning.results_of))
        self.undo_stack.push(_Snapshot(self, text, before, state, merge))

    def attempt(
        self, text: str, change: Callable[[Project], Project], merge: str | None = None
    ) -> bool:
        """Edit by a function; where it refuses, say why and leave all as it was."""
        try:
            self.edit(text, change(self._project), merge)
        except RoofmodelError as error:
            self.cancel_preview()
            self.message.emit(str(error), True)
            return False
        return True

    def preview(self, project: Project) -> None:
        """Show a drag's state without an undo step, until `edit` or `cancel_preview`."""
        try:
            # cutting plans follow when the drag ends
            self._preview = _results_after(self._results, project, _estimated)
        except RoofmodelError as error:
            self.message.emit(str(error), True)
            return
        self.result_changed.emit()

    def is_preview(self) -> bool:
        """Whether a drag is in progress."""
        return self._preview is not None

    def is_estimate(self) -> bool:
        """Whether some trim of the project is only estimated as yet."""
        return is_estimate(self._results)

    def take_planned(self, results: Results) -> None:
        """Show the results with their cutting plans, unless they are of another project."""
        if results.project is self._project:
            self._results = results
            self.result_changed.emit()

    def cancel_preview(self) -> None:
        """Go back to the project as last edited."""
        if self._preview is not None:
            self._preview = None
            self.result_changed.emit()

    def select(self, items: Iterable[Selectable]) -> None:
        """Select exactly these."""
        selection = frozenset(items)
        self.highlight.show(())  # what a line lit up was meant until something else is
        if selection != self._selection:
            self._selection = selection
            self.selection_changed.emit()

    def toggle(self, item: Selectable) -> None:
        """Add to the selection, or take away."""
        self.select(self._selection ^ {item})

    def last_profile(self, target: OutlineEdgeId) -> tuple[Step, ...] | None:
        """The profile that an outline edge had when it last was no gable end, if ever."""
        return self._profiles.get(target)

    def used_pictures(self) -> dict[str, bytes]:
        """The pictures that the project shows, by file name."""
        files = {u.file for u in self._project.underlays}
        return {name: data for name, data in self.pictures.items() if name in files}

    def is_saved(self) -> bool:
        """Whether the file holds everything."""
        return self.undo_stack.isClean()

    def _show(self, project: Project, results: Results) -> None:
        self._project, self._results, self._preview = project, results, None
        self._remember_profiles()
        self._drop_lost_selection()
        self.project_changed.emit()
        self.result_changed.emit()
        self.planning.look()

    def _remember_profiles(self) -> None:
        for section in self._project.sections():
            for ring in section.rings:
                for edge in ring.edges:
                    if edge.profile[-1].slope is not None:
                        self._profiles[OutlineEdgeId(section.id, edge.id)] = edge.profile

    def _drop_lost_selection(self) -> None:
        """Planes and roof edges that are gone give way to the outline edge below them, those of
        drawn planes and openings to their part."""
        surface, project = self._results.surface, self._project
        alive: set[Selectable] = {p.id for p in surface.planes}
        alive.update(e.id for e in surface.edges)
        alive.update(PartId(b.id) for b in project.buildings)
        alive.update(PartId(i) for b in project.buildings for i in b.part_ids())
        kept = frozenset(
            item
            for item in self._selection
            if item in alive
            or (isinstance(item, OutlineEdgeId) and outline_edge(self._project, item) is not None)
        )
        lost = self._selection - kept
        kept |= frozenset(outline_edges_of(project, lost))
        sections = {s.id for s in project.sections()}
        kept |= {
            PartId(part)
            for part in map(part_of, lost)
            if PartId(part) in alive and part not in sections
        }
        if kept != self._selection:
            self._selection = kept
            self.selection_changed.emit()


def _estimated(project: Project) -> Results:
    return results_of(project, planner=None)


def _results_after(
    before: Results, project: Project, made: Callable[[Project], Results]
) -> Results:
    """What the project comes to; what lies under the plan, or was released, changes nothing of
    the roof."""
    was = before.project
    same = msgspec.structs.replace(project, underlays=was.underlays, releases=was.releases)
    if same == before.project:
        return dataclasses.replace(before, project=project)
    return made(project)


class _Snapshot(QUndoCommand):
    """The only undo command there is: the project, and what it came to, before and after."""

    def __init__(
        self, session: Session, text: str, before: State, after: State, merge: str | None
    ) -> None:
        super().__init__(text)
        self._session, self._before, self._after, self._merge = session, before, after, merge

    def redo(self) -> None:
        self._session._show(*self._after)

    def undo(self) -> None:
        self._session._show(*self._before)

    def id(self) -> int:
        # Qt wants a number per kind of mergeable command; -1 never merges.
        return -1 if self._merge is None else 1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, _Snapshot) or other._merge != self._merge:
            return False
        self._after = other._after
        return True
