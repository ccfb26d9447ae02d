"""Price books from files of the user, and to them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from roofmodel.document.offer_edits import set_prices
from roofmodel.errors import RoofmodelError
from roofmodel_ui import recent
from roofmodel_ui.session import Session

BOOK_FILTER = "Price books (*.toml)"


def ask_for_book(parent: QWidget, session: Session) -> None:
    """Ask for a file and take the price book in it."""
    chosen, _ = QFileDialog.getOpenFileName(
        parent, "Price book", str(recent.folder()), BOOK_FILTER
    )
    if chosen:
        load_book(session, Path(chosen))


def load_book(session: Session, path: Path) -> bool:
    """Give the job the price book in a file; if it cannot be read, say why. Whether it worked."""
    from roofmodel_io.prices_toml import read_prices  # late: most jobs have their book

    try:
        book = read_prices(path)
    except RoofmodelError as error:
        session.message.emit(str(error), True)
        return False
    session.edit("Load price book", set_prices(session.project, book))
    colour = session.project.colour
    if colour and book.colour(colour) is None:
        session.message.emit(
            f"This price book has no colour '{colour}': the job's metal is priced without one.",
            False,
        )
    return True


def take_sample(session: Session) -> None:
    """Begin with the invented book that comes with the program."""
    from roofmodel_io.prices_toml import sample_prices

    session.edit("Take sample prices", set_prices(session.project, sample_prices()))
    session.message.emit("These prices are invented: put your own in their place.", False)


def ask_where_to_save(parent: QWidget, session: Session) -> None:
    """Ask for a file and write the job's price book to it."""
    name = str(recent.folder() / "prices.toml")
    chosen, _ = QFileDialog.getSaveFileName(parent, "Price book", name, BOOK_FILTER)
    if chosen:
        save_book(session, Path(chosen))


def save_book(session: Session, path: Path) -> bool:
    """Write the job's price book to a file; if it cannot be, say why. Whether it worked."""
    from roofmodel_io.prices_toml import write_prices

    path = path if path.suffix.lower() == ".toml" else path.with_name(f"{path.name}.toml")
    book = session.project.prices
    if book is None:
        session.message.emit("This job has no price book; load one first.", True)
        return False
    try:
        write_prices(book, path)
    except RoofmodelError as error:
        session.message.emit(str(error), True)
        return False
    session.message.emit(f"Written to {path.name}.", False)
    return True


def remove_book(session: Session) -> None:
    """Leave the job without prices."""
    session.edit("Remove price book", set_prices(session.project, None))
    session.message.emit("The price book was removed. Undo brings it back.", False)
