"""The supply of what lies under the plan: files opened and tiles made outside the window's thread.

Memory: packed tiles of large pictures stay as long as the project is open; of unpacked tiles the
last `CACHE_BYTES`. One thread opens files, another makes tiles, so that a large picture being
read does not keep others from being drawn.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence

import msgspec
import numpy as np
from PySide6.QtCore import QRunnable, QThreadPool, Signal
from PySide6.QtGui import QImage

from roofmodel.document import Project, Underlay
from roofmodel.errors import FileError
from roofmodel_io.underlays.drawings import Drawing, drawing_of, placed_lines
from roofmodel_io.underlays.levels import TILE, Stopped, Tiled, picture_of
from roofmodel_io.underlays.pages import Page
from roofmodel_io.underlays.reading import Found
from roofmodel_ui import theme
from roofmodel_ui.line_tiles import levels_of, line_tile
from roofmodel_ui.plan.underlays import Lines, Supply, Wanted
from roofmodel_ui.session import Session

CACHE_BYTES = 256 * 2**20
PLACED_LIMIT = 8
"""So many placed drawings are kept: dragging one places it anew at every move."""

_NONE = np.zeros((0, 2, 2))
_NONE.flags.writeable = False

_Key = tuple[str, int, bytes]
_Look = tuple[frozenset[str], str]
"""Of a drawing, its hidden layers and the colour of its lines."""
_Tile = tuple[_Key, _Look, int, int, int]
_PLAIN: _Look = (frozenset(), "")


class UnderlaySupply(Supply):
    """The supply of one session."""

    tile_size = TILE
    _opened = Signal(object, object)
    _made = Signal(object, object)

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._sources: dict[_Key, Tiled | Drawing | str] = {}
        self._opening: set[_Key] = set()
        self._images: OrderedDict[_Tile, QImage] = OrderedDict()
        self._bytes = 0
        self._placed: OrderedDict[Underlay, tuple[Drawing, Lines]] = OrderedDict()
        self._joined: tuple[list[Lines], Lines] = [], _NONE
        self._job = session.pictures
        self._wanted: list[tuple[_Tile, Tiled | Drawing]] = []
        self._lock = threading.Lock()
        self._working = False
        self._stop = threading.Event()
        self._opener, self._maker = QThreadPool(self), QThreadPool(self)
        for pool in (self._opener, self._maker):
            pool.setMaxThreadCount(1)
        self._opened.connect(self._take_source)
        self._made.connect(self._take_tile)
        session.project_changed.connect(self._forget_others)

    def put(self, found: Found, underlay: Underlay) -> None:
        """Take over what was read already, so that it is on screen at once."""
        key = self._key(underlay)
        if key is None:
            return
        source: Tiled | Drawing | None = found.picture or found.drawing
        if found.kind == "page":
            source = Page(found.data, found.name, underlay.page)
        if source is None:
            return
        self._sources[key] = source
        if not isinstance(source, Drawing) and found.kind == "picture":
            self._keep(
                (key, _PLAIN, source.coarsest, 0, 0), image_of(source, source.coarsest, 0, 0)
            )
        self.arrived.emit()

    def levels(self, underlay: Underlay) -> tuple[int, int] | None:
        source = self._source(underlay)
        if source is None or isinstance(source, str):
            return None
        if isinstance(source, Drawing):
            return levels_of(source)
        return source.finest, source.coarsest

    def image(self, underlay: Underlay, level: int, column: int, row: int) -> QImage | None:
        key = self._key(underlay)
        if key is None:
            return None
        tile = (key, _look(underlay), level, column, row)
        image = self._images.get(tile)
        if image is not None:
            self._images.move_to_end(tile)
        return image

    def want(self, tiles: Sequence[Wanted]) -> None:
        wanted: list[tuple[_Tile, Tiled | Drawing]] = []
        for underlay, level, column, row in tiles:
            key, source = self._key(underlay), self._source(underlay)
            if key is None or source is None or isinstance(source, str):
                continue
            tile = (key, _look(underlay), level, column, row)
            if tile not in self._images:
                wanted.append((tile, source))
        with self._lock:
            self._wanted = wanted
            start = bool(wanted) and not self._working
            self._working = self._working or start
        if start:
            self._maker.start(Task(self._make))

    def lines(self, underlay: Underlay) -> Lines | None:
        source = self._source(underlay)
        if not isinstance(source, Drawing):
            return None
        # Without what does not move its lines, so that dimming it finds the same.
        plain = msgspec.structs.replace(underlay, opacity=1.0, locked=False, distances=())
        kept = self._placed.pop(plain, None)
        if kept is None or kept[0] is not source:
            kept = source, placed_lines(plain, source)
        self._placed[plain] = kept
        while len(self._placed) > PLACED_LIMIT:
            self._placed.popitem(last=False)
        return kept[1]

    def segments(self, project: Project) -> Lines:
        """The lines of all visible drawings that are read already, (n, 2, 2) mm, to snap to; the
        very same array as long as they are the same."""
        arrays = [
            lines
            for u in project.underlays
            if u.kind == "drawing" and u.visible and (lines := self.lines(u)) is not None
        ]
        if len(arrays) < 2:
            return arrays[0] if arrays else _NONE
        if list(map(id, arrays)) != list(map(id, self._joined[0])):
            self._joined = arrays, np.concatenate(arrays)
            self._joined[1].flags.writeable = False
        return self._joined[1]

    def layers(self, underlay: Underlay) -> tuple[str, ...]:
        source = self._source(underlay)
        return tuple(sorted(source.layers)) if isinstance(source, Drawing) else ()

    def words(self, underlay: Underlay) -> str:
        source = self._source(underlay)
        return source if isinstance(source, str) else f"Reading {underlay.file} …"

    def shut_down(self) -> None:
        """End what is being done; it is waited for, but not long."""
        self._stop.set()
        self.want(())
        for pool in (self._opener, self._maker):
            pool.clear()
            pool.waitForDone(5000)

    def _key(self, underlay: Underlay) -> _Key | None:
        data = self._session.pictures.get(underlay.file)
        return None if data is None else (underlay.kind, underlay.page, data)

    def _source(self, underlay: Underlay) -> Tiled | Drawing | str | None:
        """What the file holds; a sentence if it cannot be read; None while it is being read."""
        key = self._key(underlay)
        if key is None:
            return f"{underlay.file} is missing."
        source = self._sources.get(key)
        if source is None and key not in self._opening:
            self._opening.add(key)
            self._opener.start(Task(lambda: self._open(key, underlay.file)))
        return source

    def _open(self, key: _Key, name: str) -> None:
        """In the opening thread."""
        kind, page, data = key
        source: Tiled | Drawing | str
        try:
            if kind == "drawing":
                source = drawing_of(data, name, lambda _: not self._stop.is_set())
            elif kind == "page":
                source = Page(data, name, page)
            else:
                source = picture_of(data, name, lambda _: not self._stop.is_set())
        except FileError as error:
            source = str(error)
        except Stopped:
            return
        self._opened.emit(key, source)

    def _take_source(self, key: _Key, source: Tiled | Drawing | str) -> None:
        self._opening.discard(key)
        self._sources[key] = source
        if isinstance(source, str):
            self._session.message.emit(source, True)
        self.arrived.emit()

    def _make(self) -> None:
        """In the tiles' thread: one after another, until none is wanted."""
        while True:
            with self._lock:
                if not self._wanted or self._stop.is_set():
                    self._working = False
                    return
                tile, source = self._wanted.pop(0)
            try:
                if isinstance(source, Drawing):
                    image = line_tile(source, *tile[1], tile[2:])
                else:
                    image = image_of(source, *tile[2:])
            except FileError:
                image = QImage(1, 1, QImage.Format.Format_RGB32)
                image.fill(0xFFFFFFFF)
            self._made.emit(tile, image)

    def _take_tile(self, tile: _Tile, image: QImage) -> None:
        self._keep(tile, image)
        self.arrived.emit()

    def _keep(self, tile: _Tile, image: QImage) -> None:
        old = self._images.pop(tile, None)
        self._bytes += image.sizeInBytes() - (0 if old is None else old.sizeInBytes())
        self._images[tile] = image
        while self._bytes > CACHE_BYTES and len(self._images) > 1:
            self._bytes -= self._images.popitem(last=False)[1].sizeInBytes()

    def _forget_others(self) -> None:
        """Another project was opened: what belongs to the one before is let go."""
        if self._session.pictures is self._job:
            return
        self._job = self._session.pictures
        files = set(self._job.values())
        self._placed.clear()
        self._joined = [], _NONE
        self._sources = {k: s for k, s in self._sources.items() if k[2] in files}
        gone = [t for t in self._images if t[0][2] not in files]
        for tile in gone:
            self._bytes -= self._images.pop(tile).sizeInBytes()


def _look(underlay: Underlay) -> _Look:
    if underlay.kind != "drawing":
        return _PLAIN
    return frozenset(underlay.hidden_layers), theme.QUIET


def image_of(source: Tiled, level: int, column: int, row: int) -> QImage:
    """A tile as Qt draws it fastest; an empty one where there is none."""
    picture = source.tile(level, column, row)
    if picture is None:
        return QImage(1, 1, QImage.Format.Format_ARGB32_Premultiplied)
    data = picture.convert("RGBA").tobytes("raw", "BGRA")
    width, height = picture.size
    # A copy, for Qt does not keep the bytes alive.
    return QImage(data, width, height, 4 * width, QImage.Format.Format_RGB32).copy()


class Task(QRunnable):
    """Work for a pool of threads."""

    def __init__(self, work: Callable[[], object]) -> None:
        super().__init__()
        self._work = work

    def run(self) -> None:
        self._work()
