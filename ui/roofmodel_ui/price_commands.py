"""Commands about the work, prices, offers and how sure they are."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from roofmodel_ui.commands import Command
    from roofmodel_ui.data_files import Kind
    from roofmodel_ui.session import Session
    from roofmodel_ui.window import MainWindow

_PAGES: Final = (
    ("Work", "Show what is said about the work, and the checks."),
    ("Price", "Show what the job costs, line by line."),
    ("Offers", "Show what else the roof is offered as."),
    ("How sure", "Show how far off the price may be, and what to measure."),
)
_MENU: Final = "Edit/Prices"


def has_book(session: Session) -> bool:
    """Whether the job has a price book."""
    return session.project.prices is not None


def price_commands(window: MainWindow) -> tuple[Command, ...]:
    """The commands, in the order of their menus."""
    from roofmodel_ui.commands import Command, has_roof

    def run(name: str) -> None:
        from roofmodel_ui import price_files  # late: a window that opens asks for no prices

        window.show_stage("Count")
        count = window.side.count
        if count.tabs.tabText(count.tabs.currentIndex()) != "Offers":  # there it is seen as well
            count.show_list("Price")
        asking = {"ask_for_book", "ask_where_to_save"}
        work = getattr(price_files, name)
        work(*((window, window.session) if name in asking else (window.session,)))

    return (
        Command("load_prices", _MENU, "Load price book …", partial(run, "ask_for_book"), "",
                "Take the price book in a TOML file into this job."),
        Command("save_prices", _MENU, "Save price book …", partial(run, "ask_where_to_save"), "",
                "Write the prices of this job to a TOML file.", has_book),
        Command("sample_prices", _MENU, "Start from invented prices", partial(run, "take_sample"),
                "", "Take the invented sample into this job, to put your own prices into."),
        Command("remove_prices", _MENU, "Remove price book", partial(run, "remove_book"), "",
                "Leave this job without prices.", has_book),
        Command("load_layers", "File", "Load rolls and rules …",
                partial(_load, window, "layers"), "",
                "Take underlayment, membrane, extras and their rules from a TOML file."),
        Command("load_parts", "File", "Load sections of trim …",
                partial(_load, window, "parts"), "",
                "Take the cross-sections that trim is bent to from a TOML file."),
        Command("add_offer", _MENU, "Add offer", partial(_add_offer, window), "",
                "Offer the roof in one more way.", has_book),
        Command("work_out_sure", _MENU, "Work out how sure", partial(_work_out, window), "",
                "Work out how far off quantities and price may be.", has_roof),
        *(Command(f"list_{title.lower().replace(' ', '_')}", "View/Lists", title,
                  partial(_show, window, title), "", tip) for title, tip in _PAGES),
    )  # fmt: skip


def _show(window: MainWindow, title: str) -> None:
    window.show_stage("Count")
    window.side.count.show_list(title)


def _load(window: MainWindow, kind: Kind) -> None:
    from roofmodel_ui import data_files  # late: few jobs have data of their own

    data_files.ask_for(window, window.session, kind)


def _add_offer(window: MainWindow) -> None:
    _show(window, "Offers")
    window.side.count.money.offers.add()


def _work_out(window: MainWindow) -> None:
    _show(window, "How sure")
    window.side.count.money.sure.work_out()
