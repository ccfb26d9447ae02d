"""The searchable list of everything the program can do: type a few letters, press Enter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPoint, QSize, Qt
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

WIDTH, HEIGHT, ROW_HEIGHT = 560, 420, 46
_MOVES = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_PageUp: -8, Qt.Key.Key_PageDown: 8}


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing to do: where it stands in the menus, and what does it."""

    menu: str
    action: QAction

    @property
    def title(self) -> str:
        """Its words, without the dots of dialogs to come."""
        return self.action.text().replace("&", "").removesuffix("…").strip()


def rating(query: str, title: str, about: str = "") -> int | None:
    """How well words typed fit a title, or else what is said about it; None if not at all.

    Each typed word must be found: best at the start of a word, else within one, else its letters
    one after another ("mkg" for "Make gable"). Higher is better.

    >>> rating("gab", "Make gable") > rating("gab", "Zoom", "Not for gables")
    True
    >>> rating("xyz", "Make gable") is None
    True
    """
    total = 0
    title, about = title.casefold(), about.casefold()
    words = query.casefold().split()
    for typed in words:
        if any(word.startswith(typed) for word in title.split()):
            total += 40
        elif typed in title:
            total += 25
        elif any(word.startswith(typed) for word in about.split()):
            total += 12
        elif any(_letters_in_turn(typed, part) for part in _from_each_word(title)):
            total += 6
        else:
            return None
    if words and title.startswith(" ".join(words)):
        total += 30
    return total


def best_first(query: str, entries: Sequence[Entry]) -> list[Entry]:
    """The entries that fit, the best first; of equals, those that can be done now."""
    rated = []
    for place, entry in enumerate(entries):
        worth = rating(query, entry.title, f"{entry.menu} {entry.action.toolTip()}")
        if worth is not None:
            rated.append((-worth, not entry.action.isEnabled(), place, entry))
    return [entry for *_, entry in sorted(rated, key=lambda r: r[:3])]


def _from_each_word(title: str) -> list[str]:
    words = title.split()
    return [" ".join(words[k:]) for k in range(len(words))]


def _letters_in_turn(typed: str, title: str) -> bool:
    letters = iter(title)
    return title[:1] == typed[:1] and all(letter in letters for letter in typed)


class CommandList(QFrame):
    """Opens over the window; Enter does the marked command, Escape leaves it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._over = parent
        self.setWindowFlag(Qt.WindowType.Popup)
        self.setObjectName("commands")
        self.setAccessibleName("Find a command")
        self._entries: Sequence[Entry] = ()
        self.field = QLineEdit()
        self.field.setPlaceholderText("What do you want to do?")
        self.field.setAccessibleName("What do you want to do?")
        self.field.textChanged.connect(self._search)
        self.field.installEventFilter(self)
        self.rows = QListWidget()
        self.rows.setAccessibleName("Commands found")
        self.rows.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.rows.setUniformItemSizes(True)
        self.rows.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.rows.itemClicked.connect(self._do)
        self._none = QLabel("Nothing is called that; try another word.")
        self._none.setProperty("class", "quiet")
        self._none.setContentsMargins(12, 8, 12, 8)
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 10, 10, 10)
        column.setSpacing(8)
        column.addWidget(self.field)
        column.addWidget(self._none, 0, Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.rows, 1)

    def open(self, entries: Sequence[Entry]) -> None:
        """Show all of them, over the upper middle of the window."""
        self._entries = entries
        self.field.clear()
        self._search("")
        over = self._over
        self.resize(min(WIDTH, over.width() - 40), min(HEIGHT, over.height() - 120))
        self.move(over.mapToGlobal(QPoint((over.width() - self.width()) // 2, 72)))
        self.show()
        self.field.setFocus()

    def found(self) -> list[str]:
        """Titles in the list, from the top."""
        role = Qt.ItemDataRole.UserRole
        return [self.rows.item(k).data(role).title for k in range(self.rows.count())]

    def _search(self, text: str) -> None:
        self.rows.clear()
        for entry in best_first(text, self._entries):
            item = QListWidgetItem()
            item.setData(Qt.ItemDataRole.UserRole, entry)
            keys = entry.action.shortcut().toString()
            spoken = f"{entry.title}, {keys}" if keys else entry.title
            item.setData(Qt.ItemDataRole.AccessibleTextRole, spoken)
            if not entry.action.isEnabled():
                item.setFlags(Qt.ItemFlag.NoItemFlags)
            item.setSizeHint(QSize(0, ROW_HEIGHT))
            self.rows.addItem(item)
            self.rows.setItemWidget(item, _row(entry))
        self._none.setVisible(self.rows.count() == 0)
        self.rows.setVisible(self.rows.count() > 0)
        self.rows.setCurrentRow(0)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in _MOVES:
                last = self.rows.count() - 1
                to = min(max(self.rows.currentRow() + _MOVES[Qt.Key(key)], 0), last)
                self.rows.setCurrentRow(to)
                return True
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                item = self.rows.currentItem()
                if item is not None:
                    self._do(item)
                return True
        return super().eventFilter(watched, event)

    def _do(self, item: QListWidgetItem) -> None:
        entry = item.data(Qt.ItemDataRole.UserRole)
        if isinstance(entry, Entry) and entry.action.isEnabled():
            self.hide()
            entry.action.trigger()


def _row(entry: Entry) -> QWidget:
    """Title and what it does at the left, keys at the right."""
    row = QWidget()
    row.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    row.setEnabled(entry.action.isEnabled())
    title, tip = QLabel(entry.title), QLabel(entry.action.toolTip())
    title.setProperty("class", "strong")
    tip.setProperty("class", "quiet")
    words = QVBoxLayout()
    words.setSpacing(1)
    words.addWidget(title)
    words.addWidget(tip)
    keys = QLabel(entry.action.shortcut().toString())
    keys.setProperty("class", "quiet")
    line = QHBoxLayout(row)
    line.setContentsMargins(10, 3, 10, 3)
    line.addLayout(words, 1)
    line.addWidget(keys)
    return row
