"""Data of a job beside its systems and prices, from files of the user: rolls and rules below the
metal, cross-sections of trim. `roofmodel data DIR` writes the built-in ones, to be edited."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

from PySide6.QtWidgets import QFileDialog, QWidget

from roofmodel.document.cover_edits import set_parts
from roofmodel.document.work_edits import set_layers
from roofmodel.errors import RoofmodelError
from roofmodel_ui import recent
from roofmodel_ui.session import Session

_TOLD: Final = 2
"""More sentences than these are too many for one message."""
Kind = Literal["layers", "parts"]
TITLES: Final[dict[Kind, str]] = {
    "layers": "Rolls and rules below the metal",
    "parts": "Cross-sections of trim",
}


def ask_for(parent: QWidget, session: Session, kind: Kind) -> None:
    """Ask for a file and take what is in it."""
    chosen, _ = QFileDialog.getOpenFileName(
        parent, TITLES[kind], str(recent.folder()), f"{TITLES[kind]} (*.toml)"
    )
    if chosen:
        load(session, Path(chosen), kind)


def load(session: Session, path: Path, kind: Kind) -> bool:
    """Give the job what is in a file; if it cannot be read, say why. Whether it worked."""
    from roofmodel_io.layers_toml import read_layers  # late: few jobs need them
    from roofmodel_io.parts_toml import read_parts

    try:
        if kind == "layers":
            project = set_layers(session.project, read_layers(path))
        else:
            project = set_parts(session.project, read_parts(path))
    except RoofmodelError as error:
        session.message.emit(str(error), True)
        return False
    session.edit(f"Load {TITLES[kind].lower()}", project)
    sentence = f"{TITLES[kind]} are those of {path.name}. Undo brings the others back."
    said: tuple[str, ...] = ()
    if kind == "parts":
        from roofmodel.shop.sections import trim_findings

        results = session.results
        faults, doubts = trim_findings(results.project, results.surface, results.take_off)
        no_package = ("No package can be made with them.",) if faults else ()
        said = (*no_package, *faults, *doubts)
        # they are taken all the same: the roof, its systems or the file can be put right
    most = _TOLD + 1
    sentence = " ".join((sentence, *said[:most]))
    if len(said) > most:
        sentence += f" {len(said) - most} more: see To check first in Hand over."
    session.message.emit(sentence, bool(said))
    return True
