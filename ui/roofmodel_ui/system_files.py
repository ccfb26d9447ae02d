"""Roofing systems from files of the user, and to them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from roofmodel.document import Project
from roofmodel.document.cover_edits import add_sections, add_system, put_system
from roofmodel.errors import RoofmodelError
from roofmodel.systems import RoofingSystem
from roofmodel_ui import recent
from roofmodel_ui.session import Session

SYSTEM_FILTER = "Roofing systems (*.toml)"


def with_sections(project: Project) -> Project:
    """The job with the built-in cross-sections that its trim names and it lacks: a job carries its
    own, and may be older than a system that comes to it."""
    from roofmodel_io.parts_toml import built_in_parts  # late: few jobs need them read

    return add_sections(project, built_in_parts())


def take_system(session: Session, system: RoofingSystem) -> None:
    """Add a system to the job, or put it in the place of the one with its id; RoofmodelError if
    it is there already as it is."""
    known = next((s for s in session.project.systems() if s.id == system.id), None)
    if known is None or known == system:
        session.edit("Add roofing system", with_sections(add_system(session.project, system)))
        return
    session.edit("Replace roofing system", with_sections(put_system(session.project, system)))
    session.message.emit(
        f"{known.name} was replaced by the one in the file. Undo brings it back.", False
    )


def ask_where_to_save(parent: QWidget, session: Session, system: RoofingSystem) -> None:
    """Ask for a file and write a system to it."""
    name = str(recent.folder() / f"{system.id}.toml")
    chosen, _ = QFileDialog.getSaveFileName(parent, "Roofing system", name, SYSTEM_FILTER)
    if chosen:
        save_system(session, system, Path(chosen))


def save_system(session: Session, system: RoofingSystem, path: Path) -> bool:
    """Write a system to a file; if it cannot be, say why. Whether it worked."""
    from roofmodel_io.system_writer import write_system  # late: few jobs need it

    path = path if path.suffix.lower() == ".toml" else path.with_name(f"{path.name}.toml")
    try:
        write_system(path, system)
    except RoofmodelError as error:
        session.message.emit(str(error), True)
        return False
    session.message.emit(f"Written to {path.name}.", False)
    return True
