"""Pages of PDF plans, drawn tile by tile at whatever size is looked at.

The PDF library is not made for threads: everything that touches it holds one lock. It lets the
interpreter go on while it draws, so the window does not wait for it.
"""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from typing import TYPE_CHECKING, Final, NamedTuple

from PIL import Image

from roofmodel.errors import FileError
from roofmodel_io.underlays.levels import TILE, coarsest_of

if TYPE_CHECKING:
    import pypdfium2  # type: ignore[import-untyped]

FINEST: Final = -5
"""32 pixels a point, 2304 to the inch."""
POINT_LIMIT: Final = 30_000
"""Longest side of a page, points: 35 ft."""
_OPEN_LIMIT: Final = 3

_LOCK = threading.Lock()
_open: OrderedDict[bytes, pypdfium2.PdfDocument] = OrderedDict()


class PageSizes(NamedTuple):
    """Width and height of each page, points."""

    sizes: tuple[tuple[float, float], ...]


def page_sizes(data: bytes, name: str) -> PageSizes:
    """The pages of a PDF; FileError in one sentence if it has none that can be read."""
    import pypdfium2

    with _LOCK:
        document = _document(data, name)
        try:
            sizes = [document.get_page_size(k) for k in range(len(document))]
        except (pypdfium2.PdfiumError, ValueError, OverflowError) as error:
            raise _damaged(name) from error
    if not sizes:
        raise FileError(f"The PDF '{name}' has no pages; choose another.")
    return PageSizes(tuple((float(w), float(h)) for w, h in sizes))


class Page:
    """One page, counted from 0; `width` and `height` are points, rounded up."""

    finest = FINEST

    def __init__(self, data: bytes, name: str, page: int) -> None:
        sizes = page_sizes(data, name).sizes
        if not 0 <= page < len(sizes):
            raise FileError(f"The PDF '{name}' has no page {page + 1}; it has {len(sizes)}.")
        self._data, self._name, self._page = data, name, page
        self._size = sizes[page]
        if not all(1 <= side <= POINT_LIMIT for side in self._size):
            raise FileError(
                f"Page {page + 1} of '{name}' is too small or too large to be a plan;"
                " choose another page."
            )
        self.width, self.height = (math.ceil(side - 1e-6) for side in self._size)
        self.coarsest = coarsest_of(self.width, self.height)

    def tile(self, level: int, column: int, row: int) -> Image.Image | None:
        """A tile in colours; None where there is none. FileError if it cannot be drawn."""
        import pypdfium2

        step = TILE * 2.0**level
        left, top = column * step, row * step
        width, height = self._size
        if column < 0 or row < 0 or left >= width or top >= height:
            return None
        right, bottom = min(left + step, width), min(top + step, height)
        with _LOCK:
            document = _document(self._data, self._name)
            try:
                page = document[self._page]
                try:
                    bitmap = page.render(
                        scale=2.0**-level,
                        crop=(left, height - bottom, width - right, top),
                        rev_byteorder=True,
                    )
                    picture: Image.Image = bitmap.to_pil().convert("RGB")
                    bitmap.close()
                finally:
                    page.close()
            except (pypdfium2.PdfiumError, ValueError, MemoryError) as error:
                raise _damaged(self._name) from error
        return picture


def _document(data: bytes, name: str) -> pypdfium2.PdfDocument:
    """The opened PDF; only while holding the lock. The last few stay open."""
    import pypdfium2

    if data in _open:
        _open.move_to_end(data)
        return _open[data]
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        if "password" in str(error).lower():
            raise FileError(
                f"The PDF '{name}' is locked by a password; save a copy without it and load that."
            ) from error
        raise _damaged(name) from error
    _open[data] = document
    while len(_open) > _OPEN_LIMIT:
        _open.popitem(last=False)[1].close()
    return document


def _damaged(name: str) -> FileError:
    return FileError(f"The PDF '{name}' is damaged or cut short; choose another copy.")
