"""DXF drawings as straight lines: to be drawn under the plan, and snapped to.

Curves become chords that leave them by less than a thousandth of their radius; blocks are
resolved where they are inserted; only what lies in model space counts, seen from above.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Final, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from roofmodel.document import Underlay
from roofmodel.errors import FileError
from roofmodel_io.underlays.levels import Stopped

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert

SEGMENT_LIMIT: Final = 400_000
ENTITY_LIMIT: Final = 400_000
"""Blocks that are inserted count each time, and so does what they hold."""
DEPTH_LIMIT: Final = 24
"""How deep blocks may hold blocks: a block that holds itself would never end."""
FAR: Final = 1e12
CHORD_SHARE: Final = 1e-3
ASK_EVERY: Final = 2000
"""Whoever waits is asked this often, in tags or parts read, whether to go on."""

Watch = Callable[[float], bool]
_T = TypeVar("_T")

UNIT_MM: Final = {
    1: 25.4, 2: 304.8, 3: 1_609_344.0, 4: 1.0, 5: 10.0, 6: 1000.0, 7: 1e6, 8: 2.54e-5,
    9: 0.0254, 10: 914.4, 13: 1e-3, 14: 100.0, 15: 1e4, 16: 1e5, 21: 1200 / 3937 * 1000,
}  # fmt: skip
"""Millimetres in each unit that $INSUNITS may name, by its number in the DXF reference."""


class Drawing(NamedTuple):
    """The lines of a drawing.

    `lines` (n, 2, 2) float, drawing units; `layer_of` (n,) int, index into `layers`; `unit_mm`
    what a unit is, None if the file does not say; `remark` one sentence if it had to be mended.
    """

    lines: NDArray[np.float64]
    layer_of: NDArray[np.intp]
    layers: tuple[str, ...]
    unit_mm: float | None
    remark: str

    @property
    def corner(self) -> tuple[float, float]:
        """Its top left corner, drawing units."""
        return float(self.lines[..., 0].min()), float(self.lines[..., 1].max())

    @property
    def width(self) -> int:
        """Width, drawing units, rounded up."""
        return max(1, math.ceil(float(np.ptp(self.lines[..., 0]))))

    @property
    def height(self) -> int:
        """Height, drawing units, rounded up."""
        return max(1, math.ceil(float(np.ptp(self.lines[..., 1]))))

    def pixels(self, hidden: frozenset[str] = frozenset()) -> NDArray[np.float64]:
        """The lines of all layers but the hidden ones, from the top left corner, y down."""
        lines = self.lines
        if hidden:
            shown = np.array([layer not in hidden for layer in self.layers])
            lines = lines[shown[self.layer_of]]
        left, top = self.corner
        return np.stack([lines[..., 0] - left, top - lines[..., 1]], axis=-1)


def drawing_of(data: bytes, name: str, watch: Watch = lambda share: True) -> Drawing:
    """Read a DXF drawing; FileError in one sentence if it cannot be, or holds no lines.

    `watch` says whether to go on; `levels.Stopped` if not. Nothing is kept from one call to the
    next. A large drawing takes seconds: not in the window's thread.
    """
    document, remark = _document(data, name, watch)
    lines: list[tuple[float, float, float, float]] = []
    layer_of: list[int] = []
    layers: dict[str, int] = {}
    try:
        for ends, layer in _lines(document, name, watch):
            number = layers.setdefault(layer, len(layers))
            lines.extend(ends)
            layer_of.extend([number] * len(ends))
            if len(lines) > SEGMENT_LIMIT:
                raise FileError(
                    f"The drawing '{name}' has more than {SEGMENT_LIMIT:,} lines; save only the"
                    " roof or the floor plan in a drawing of its own."
                )
    except (RecursionError, ArithmeticError, ValueError, LookupError, TypeError) as error:
        raise _damaged(name) from error
    array = np.array(lines, float).reshape(-1, 2, 2)
    sound = np.isfinite(array).all((1, 2)) & (np.abs(array) < FAR).all((1, 2))
    sound &= (array[:, 0] != array[:, 1]).any(1)
    if not sound.any():
        raise FileError(
            f"The drawing '{name}' has no lines in model space; choose another drawing."
        )
    array, numbers = array[sound], np.array(layer_of, np.intp)[sound]
    array.flags.writeable = numbers.flags.writeable = False
    unit = UNIT_MM.get(_unit_number(document))
    return Drawing(array, numbers, tuple(layers), unit, remark)


def placed_lines(underlay: Underlay, drawing: Drawing) -> NDArray[np.float64]:
    """The lines of a drawing where it lies in plan, (n, 2, 2) float, mm, without those of hidden
    layers; not to be written to."""
    lines = underlay.to_plan(drawing.pixels(frozenset(underlay.hidden_layers)))
    lines.flags.writeable = False
    return lines


def _unit_number(document: Document) -> int:
    try:
        return int(document.header.get("$INSUNITS", 0))
    except (TypeError, ValueError):
        return 0


def _document(data: bytes, name: str, watch: Watch) -> tuple[Document, str]:
    """The drawing as it is, or else as far as it can be mended."""
    from ezdxf import recover
    from ezdxf.document import Drawing as Document
    from ezdxf.lldxf.const import DXFError
    from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader

    broken = (DXFError, ValueError, LookupError, TypeError, AttributeError, EOFError, OSError)
    try:
        tags = (
            binary_tags_loader(data)
            if is_binary(data)
            else ascii_tags_loader(io.StringIO(_text(data)))
        )
        return Document.load(_watched(tags, watch)), ""
    except (*broken, RecursionError):
        pass
    try:
        document, _ = recover.read(io.BytesIO(data))
    except (*broken, RecursionError) as error:
        raise _damaged(name) from error
    return document, f"The drawing '{name}' had faults; look whether all of its lines are there."


def _watched(things: Iterable[_T], watch: Watch) -> Iterator[_T]:
    """The same, asking from time to time whether to go on."""
    for number, thing in enumerate(things):
        if number % ASK_EVERY == 0 and not watch(0.0):
            raise Stopped
        yield thing


def is_binary(data: bytes) -> bool:
    """Whether it is a DXF in binary form, by its first bytes."""
    return data[:22].endswith(b"Binary DXF\r\n\x1a\x00")


def _text(data: bytes) -> str:
    """The text; old drawings are not in UTF-8, but only names of layers suffer from a guess."""
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace").replace("\r\n", "\n")


def _damaged(name: str) -> FileError:
    return FileError(f"'{name}' is no DXF drawing, or it is damaged; choose another copy.")


_Ends = list[tuple[float, float, float, float]]


def _lines(document: Document, name: str, watch: Watch) -> Iterator[tuple[_Ends, str]]:
    """The lines of each entity with its layer, blocks resolved."""
    return (found for found in _watched(_walked(document, name), watch) if found is not None)


def _walked(document: Document, name: str) -> Iterator[tuple[_Ends, str] | None]:
    """The lines of each entity with its layer; None for one that is passed over."""
    from ezdxf.entities.insert import Insert

    off = {x.dxf.name for x in document.layers if x.is_off() or x.is_frozen()}
    pile: list[tuple[Iterator[DXFEntity], str]] = [(iter(document.modelspace()), "0")]
    count = len(document.modelspace())
    while pile:
        # Counted before it is gone through: what is empty or passed over takes time as well.
        if count > ENTITY_LIMIT:
            raise FileError(
                f"The drawing '{name}' holds too many parts; save only the roof or the floor"
                " plan in a drawing of its own."
            )
        entity = next(pile[-1][0], None)
        if entity is None:
            pile.pop()
            continue
        layer = str(entity.dxf.get("layer", "0"))
        # What lies on layer 0 of a block takes on the layer that the block is inserted on.
        layer = pile[-1][1] if layer == "0" and len(pile) > 1 else layer
        if layer in off or entity.dxf.get("invisible", 0):
            yield None
            continue
        if isinstance(entity, Insert):
            if len(pile) < DEPTH_LIMIT:
                block = entity.block()
                if block is not None:
                    count += max(1, entity.mcount) * (1 + len(block))
                    pile.append((_inside(entity), layer))
            yield None
            continue
        yield _ends(entity), layer


def _inside(insert: Insert) -> Iterator[DXFEntity]:
    if insert.mcount > 1:
        for one in insert.multi_insert():
            yield from one.virtual_entities()
    else:
        yield from insert.virtual_entities()


def _ends(entity: DXFEntity) -> _Ends:
    """An entity as straight lines (x, y, x, y); nothing for what has none."""
    from ezdxf import path

    kind = entity.dxftype()
    if kind == "LINE":
        a, b = entity.dxf.start, entity.dxf.end
        return [(a.x, a.y, b.x, b.y)]
    if kind not in {"LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"}:
        return []
    if kind == "POLYLINE" and entity.dxf.get("flags", 0) & (16 | 64):
        return []  # a mesh
    curve = path.make_path(entity)
    if not len(curve):
        return []
    points = [curve.start, *curve.control_vertices()]
    size = max(max(p.x for p in points) - min(p.x for p in points),
               max(p.y for p in points) - min(p.y for p in points))  # fmt: skip
    if not 0 < size < FAR:
        return []
    corners = [(p.x, p.y) for p in curve.flattening(size / 2 * CHORD_SHARE, segments=4)]
    return [(*a, *b) for a, b in itertools.pairwise(corners)]
