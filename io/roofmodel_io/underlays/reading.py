"""A file to be traced, read and checked to its end, before anything of the project changes."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from roofmodel.document import Underlay
from roofmodel.errors import FileError
from roofmodel_io.atomic import read_whole
from roofmodel_io.underlays.drawings import Drawing, drawing_of, is_binary
from roofmodel_io.underlays.levels import Picture, picture_of
from roofmodel_io.underlays.opening import damage_told, opened
from roofmodel_io.underlays.pages import page_sizes
from roofmodel_io.underlays.world_file import (
    World,
    read_world_file,
    world_file_of,
    world_of_tiff,
)

BYTE_LIMIT: Final = 256 * 2**20
DRAWING_LIMIT: Final = 64 * 2**20
FIRST_WIDTH_MM: Final = 30_000.0
"""What has no scale yet is shown this wide, about the size of a house."""

Kind = Literal["picture", "page", "drawing"]


@dataclass(frozen=True)
class Found:
    """What a file holds, all of it read.

    `pages` are the sizes of a PDF's pages (points); `remarks` sentences for the user.
    """

    kind: Kind
    name: str
    data: bytes
    picture: Picture | None = None
    world: World | None = None
    pages: tuple[tuple[float, float], ...] = ()
    drawing: Drawing | None = None
    remarks: tuple[str, ...] = ()

    @property
    def unit_missing(self) -> bool:
        """Whether the file gives lengths but does not say in which unit."""
        if self.world is not None:
            return self.world.unit_mm is None
        return self.drawing is not None and self.drawing.unit_mm is None

    def with_unit(self, unit_mm: float) -> Found:
        """The same, with the unit that the user named."""
        return dataclasses.replace(
            self,
            world=None if self.world is None else self.world._replace(unit_mm=unit_mm),
            drawing=None if self.drawing is None else self.drawing._replace(unit_mm=unit_mm),
        )

    def underlay(self, file: str, page: int = 0) -> Underlay:
        """The underlay, its middle at (0, 0), to scale where the file says so.

        `file` is its name inside the project. FileError where a page is none.
        """
        world = None
        scale, turn = None, 0.0
        if self.picture is not None:
            width, height = self.picture.width, self.picture.height
            if self.world is not None and self.world.unit_mm is not None:
                unit = self.world.unit_mm
                scale, turn = self.world.pixel * unit, self.world.turn
                world = (self.world.corner[0] * unit, self.world.corner[1] * unit)
        elif self.drawing is not None:
            width, height = self.drawing.width, self.drawing.height
            if (unit_mm := self.drawing.unit_mm) is not None:
                scale = unit_mm
                world = (self.drawing.corner[0] * unit_mm, self.drawing.corner[1] * unit_mm)
        else:
            from roofmodel_io.underlays.pages import Page

            shown = Page(self.data, self.name, page)
            width, height = shown.width, shown.height
        mm = scale or FIRST_WIDTH_MM / width
        made = Underlay(
            "u", file, width, height, mm, turn=turn, scaled=scale is not None, kind=self.kind,
            page=page if self.kind == "page" else 0, world=world,
        )  # fmt: skip
        x, y = made.to_plan((width / 2, height / 2)).tolist()
        return Underlay(
            "u", file, width, height, mm, (-x, -y), turn, scaled=made.scaled, kind=self.kind,
            page=made.page, world=world,
        )  # fmt: skip


def read_underlay(path: str | Path, watch: Callable[[float], bool] = lambda share: True) -> Found:
    """Read a picture, a PDF or a DXF; what it is is told by its content, not by its name.

    Damaged, empty, locked, too large or of another kind: FileError in one sentence. `watch` is
    told the share done and says whether to go on (`levels.Stopped` if not). Large files take
    seconds: not in the window's thread.
    """
    place = Path(path)
    name = place.name
    if place.is_file() and place.stat().st_size > BYTE_LIMIT:
        raise FileError(
            f"'{name}' is larger than the {BYTE_LIMIT // 2**20} MB that a project can carry; save"
            " it as a JPEG, or only the part with the house, and load that."
        )
    data = read_whole(place, BYTE_LIMIT)
    kind = kind_of(data, name)
    if kind == "page":
        return Found(kind, name, data, pages=page_sizes(data, name).sizes)
    if kind == "drawing":
        if len(data) > DRAWING_LIMIT:
            raise FileError(
                f"The drawing '{name}' is larger than {DRAWING_LIMIT // 2**20} MB; save only the"
                " roof or the floor plan in a drawing of its own."
            )
        drawing = drawing_of(data, name, watch)
        remarks = (drawing.remark,) if drawing.remark else ()
        return Found(kind, name, data, drawing=drawing, remarks=remarks)
    picture = picture_of(data, name, watch)
    world, remark = _world(place, data)
    return Found(kind, name, data, picture, world, remarks=(remark,) if remark else ())


def kind_of(data: bytes, name: str) -> Kind:
    """What the content is; FileError in one sentence if it is nothing to trace."""
    if not data:
        raise FileError(f"'{name}' is empty; choose another file.")
    if data.startswith((b"\x89PNG", b"\xff\xd8\xff", b"II*\0", b"MM\0*")):
        return "picture"
    if b"%PDF-" in data[:1024]:
        return "page"
    if is_binary(data) or _looks_like_dxf(data[:4096]):
        return "drawing"
    if data.startswith(b"PK"):
        raise FileError(f"'{name}' is a packed folder or a project; choose a picture in it.")
    raise FileError(
        f"'{name}' is no picture, plan or drawing that can be read; choose a PNG, JPEG, TIFF, PDF"
        " or DXF file."
    )


def _looks_like_dxf(head: bytes) -> bool:
    """Pairs of lines, a number and a value, among the first of them a section's start."""
    lines = [line.strip() for line in head.removeprefix(b"\xef\xbb\xbf").splitlines()]
    pairs = list(zip(lines[::2], lines[1::2], strict=False))
    return any(pair == (b"0", b"SECTION") for pair in pairs[:200])


def _world(place: Path, data: bytes) -> tuple[World | None, str]:
    """Where the picture lies, and one sentence if what is said of it cannot be used."""
    try:
        beside = world_file_of(place)
        if beside is not None:
            return read_world_file(beside), ""
        with damage_told(place.name):
            return world_of_tiff(opened(data, place.name), place.name), ""
    except FileError as error:
        return None, str(error)
