"""What is handed over: the package for shop and crew, its revisions, single files, and what is
still doubtful before they go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QUrl
from PySide6.QtGui import QAction, QDesktopServices, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout, QWidget

from roofmodel.shop.sections import TrimFindings, trim_findings
from roofmodel_ui.handing import Handing
from roofmodel_ui.panels.changes import ChangesList, found_words
from roofmodel_ui.panels.fields import heading, panel_layout, quiet
from roofmodel_ui.panels.shop_form import shop_form
from roofmodel_ui.panels.slitting_list import SlittingList
from roofmodel_ui.session import Session

if TYPE_CHECKING:
    from roofmodel.results import Results

_WHAT: Final = {
    "layouts": ("layout sheet", "layout sheets"),
    "panels": ("sheet of panel shapes", "sheets of panel shapes"),
    "trim_sections": ("section of trim", "sections of trim"),
    "trim_blanks": ("blank of trim", "blanks of trim"),
}


_SHOWN: Final = 3
"""More things to check than these would push what is to be done out of sight."""


class HandOverPanel(QWidget):
    """The panel of the Hand over stage."""

    def __init__(
        self,
        session: Session,
        actions: Sequence[QAction],
        handing: Handing,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.session, self.handing = session, handing
        self._trim: tuple[Results, TrimFindings] | None = None
        layout = panel_layout(self)
        layout.addWidget(heading("To check first"))
        self._problems = quiet()
        layout.addWidget(self._problems)
        layout.addSpacing(8)
        layout.addWidget(heading("Revisions"))
        self._add_revisions(layout)
        layout.addSpacing(8)
        layout.addWidget(heading("For shop and crew"))
        self._add_package(layout)
        layout.addSpacing(8)
        self.rules = shop_form(session)
        layout.addWidget(self.rules)
        layout.addSpacing(8)
        layout.addWidget(heading("Single files"))
        for action in actions:
            button = QPushButton(action.text().replace("…", "").strip() + " …")
            button.setToolTip(action.toolTip())
            button.clicked.connect(action.trigger)
            button.setEnabled(action.isEnabled())
            action.enabledChanged.connect(button.setEnabled)
            layout.addWidget(button)
        layout.addSpacing(8)
        layout.addWidget(heading("Slitting plan of trim"))
        self.slitting = SlittingList(session)  # last, for it can be long
        layout.addWidget(self.slitting)
        layout.addStretch(1)
        session.result_changed.connect(self.refresh)
        handing.changed.connect(self.refresh)
        self.refresh()

    def _add_package(self, layout: QVBoxLayout) -> None:
        add = layout.addWidget
        self.write = QPushButton("Write the package …")
        self.write.setToolTip(
            "A folder with a layout sheet for every plane, panel shapes, sections and blanks of"
            " trim as DXF, cut lists and the slitting plan as CSV and XLSX, the booklet as PDF."
        )
        self.write.clicked.connect(lambda: self.handing.ask_where(self.window()))
        self.cancel = QPushButton("Cancel")
        self.cancel.setToolTip("Stop; nothing is written.")
        self.cancel.clicked.connect(self.handing.cancel)
        line = QHBoxLayout()
        line.setSpacing(6)
        line.addWidget(self.write, 1)
        line.addWidget(self.cancel)
        layout.addLayout(line)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.bar.setAccessibleName("How far the package is")
        add(self.bar)
        self.said = quiet()
        add(self.said)
        self.open = QPushButton("Open the folder")
        self.open.clicked.connect(self._open_folder)
        add(self.open)

    def _add_revisions(self, layout: QVBoxLayout) -> None:
        add = layout.addWidget
        self.state = quiet()
        add(self.state)
        self.release = QPushButton("Release a revision")
        self.release.setToolTip(
            "Freeze every mark, shape and length as it is now; later differences are listed."
        )
        self.release.clicked.connect(self.handing.release)
        add(self.release)
        self.changes = ChangesList()
        add(self.changes)
        self.history = quiet()
        add(self.history)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Show what is possible, what is done and what is doubtful; nobody looks at it while it
        is hidden."""
        if not self.isVisible():
            return
        self._refresh_package()
        self._refresh_revisions()
        results = self.session.results
        trim = self._trim_findings()
        sentences = [p.sentence for p in results.problems if p.serious]
        sentences += trim.faults  # nothing can be made with these
        sentences += [c.sentence for c in results.take_off.checks if not c.passed]
        sentences += [*trim.doubts, *(p.sentence for p in results.problems)]
        sentences += results.take_off.warnings
        sentences += [f"{e.name}: {e.remark}" for e in results.surface.edges if e.remark]
        unique = list(dict.fromkeys(sentences))
        shown, more = unique[:_SHOWN], unique[_SHOWN:]
        if len(more) == 1:
            shown, more = unique, []
        if more:
            shown.append(f"… and {len(more)} more: point here to read them.")
        self._problems.setText("\n\n".join(shown) or "Nothing doubtful was found.")
        self._problems.setToolTip("\n\n".join(unique) if more else "")
        if not self.session.is_preview():
            self.handing.compare()

    def _trim_findings(self) -> TrimFindings:
        """What is found of the trim, kept as long as the results are the same, and while the roof
        is dragged."""
        results, is_dragged = self.session.results, self.session.is_preview()
        if self._trim is None or not (is_dragged or self._trim[0] is results):
            found = trim_findings(results.project, results.surface, results.take_off)
            self._trim = results, found
        return self._trim[1]

    def _refresh_package(self) -> None:
        handing, session = self.handing, self.session
        is_writing = handing.state == "writing"
        has_panels = bool(session.results.surface.planes)
        self.write.setEnabled(has_panels and not is_writing)
        self.cancel.setVisible(is_writing)
        self.bar.setVisible(is_writing)
        told = handing.told
        if is_writing and told is not None:
            self.bar.setRange(0, max(told.count, 1))
            self.bar.setValue(told.done)
        elif is_writing:
            self.bar.setRange(0, 0)
        self.open.setVisible(handing.package is not None and not is_writing)
        self.said.setText(self._package_words())
        self.rules.refresh()
        self.slitting.refresh()

    def _package_words(self) -> str:
        handing = self.handing
        if handing.state == "writing":
            told = handing.told
            if told is None:
                return "Working …"
            return f"{told.done} of {told.count}: {told.words or 'putting it in its place'}"
        package = handing.package
        if package is None:
            return f"Goes into a folder of its own, '{handing.folder_name()}'."
        counts: dict[str, int] = {}
        for name in package.files:
            folder = name.partition("/")[0] if "/" in name else ""
            counts[folder] = counts.get(folder, 0) + 1
        said = [
            f"{counts[key]} {words[counts[key] != 1]}"
            for key, words in _WHAT.items()
            if key in counts
        ]
        revision = f"revision {package.revision}" if package.revision else "not released"
        written = (
            f"Written to '{Path(package.folder).name}', {revision}: the roof plan,"
            f" {', '.join(said)}, the cut lists, the booklet."
        )
        return "\n".join((written, *package.slit))

    def _refresh_revisions(self) -> None:
        handing, project = self.handing, self.session.project
        releases, found = project.releases, handing.found
        number = releases[-1].number + 1 if releases else 1
        self.release.setText(f"Release revision {number}")
        has_metal = bool(
            self.session.results.take_off.panels or self.session.results.take_off.trim
        )
        self.release.setEnabled(
            has_metal and handing.state == "idle" and not (releases and found == ())
        )
        why = handing.why_not if handing.state != "comparing" else ""
        if not releases:
            said = "Nothing is released yet: sheets say so in their title block."
            said += f"\nIt cannot be released: {why}" if why else ""
        elif found is None:
            said = "Comparing with the last revision …" if handing.state == "comparing" else ""
            if why:
                last = releases[-1].number
                said = f"What differs from revision {last} cannot be found out: {why}"
        elif not found:
            said = f"All is as released in revision {releases[-1].number}."
        else:
            said = found_words(found, releases[-1].number)
        self.state.setText(said)
        self.state.setVisible(bool(said))
        self.changes.show_changes(found or (), project.units)
        self.history.setText(
            "\n".join(
                f"Revision {r.number}, {r.date}: {_count(r.count('panel'), 'panel')},"
                f" {_count(r.count('trim'), 'piece')} of trim"
                for r in reversed(releases)
            )
        )
        self.history.setVisible(bool(releases))

    def _open_folder(self) -> None:
        package = self.handing.package
        if package is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(package.folder))


def _count(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
