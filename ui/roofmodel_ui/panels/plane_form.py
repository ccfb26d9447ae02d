"""The form of a drawn plane: how it lies, in the three ways there are."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import cast

import msgspec
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from roofmodel.document import ByEdge, ByHeights, BySlope, DrawnPlane, Point, Point3, Project
from roofmodel.document.lies import by_heights, by_slope, height_at, through
from roofmodel.document.part_edits import change_plane, rename_part
from roofmodel.errors import DocumentError
from roofmodel_ui.panels.angles import parse_bearing, parse_pitch, show_bearing, show_pitch
from roofmodel_ui.panels.fields import (
    Choice,
    Field,
    checked_overhang,
    length_field,
    quiet,
    rows_of,
    show_length,
    small_length_field,
)
from roofmodel_ui.session import Session
from roofmodel_ui.ties import Tie, tie_of, ties

WAYS = (
    ("Pitch and direction", "slope"),
    ("Three heights", "heights"),
    ("Tied to a roof edge", "edge"),
)
Lies = BySlope | ByHeights | ByEdge


class PlaneForm(QWidget):
    """Everything that is said of a drawn plane. Its corners are numbered in the plan."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.part = ""
        self.name = Field("Name of the drawn plane", self._take_name)
        self.way = Choice("How the plane lies", self._take_way, WAYS)
        self.pitch = Field("Pitch of the drawn plane", self._take_pitch)
        self.bearing = Field("Falls towards", self._take_bearing)
        self.bearing.setToolTip("Degrees clockwise from north, or a word such as south.")
        self.at = Choice("Corner of the known height", self._take_at)
        self.at_height = length_field("Known height", session, "Set height", self._with_height)
        self._slope_rows = rows_of(
            ("Pitch", self.pitch), ("Falls towards", self.bearing), ("Height at", self.at),
            ("Height", self.at_height),
        )  # fmt: skip
        self.corners = [
            Choice(f"Corner of height {k + 1}", lambda v, k=k: self._take_corner(k, v))  # type: ignore[misc]
            for k in range(3)
        ]
        self.heights = [
            length_field(
                f"Height {k + 1}", session, "Set height",
                lambda p, mm, k=k: self._with_known(p, k, mm),  # type: ignore[misc]
            )
            for k in range(3)
        ]  # fmt: skip
        pairs = zip(self.corners, self.heights, strict=True)
        self._height_rows = rows_of(
            *(row for corner, height in pairs for row in (("At", corner), ("Height", height)))
        )
        self.edge = Choice("Roof edge of the plane", self._take_edge)
        self.sense = Choice(
            "Sense of the pitch", self._take_sense,
            (("Falls away from it", False), ("Rises from it", True)),
        )  # fmt: skip
        self.tied_pitch = Field("Pitch from the edge", self._take_pitch)
        self._edge_rows = rows_of(
            ("Roof edge", self.edge), ("", self.sense), ("Pitch", self.tied_pitch)
        )
        self.overhang = small_length_field(
            "Overhang of the drawn plane", session, "Set overhang", self._with_overhang
        )
        self.open_below = QCheckBox("Open below (porch)")
        self.open_below.setToolTip("It hides nothing that reaches under it.")
        self.open_below.clicked.connect(lambda on: self._change("Set open below", open_below=on))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        for widget in (
            rows_of(("Name", self.name), ("It lies by", self.way)),
            self._slope_rows, self._height_rows, self._edge_rows,
            rows_of(("Overhang", self.overhang), ("", self.open_below)),
            quiet("The plan shows the numbers of its corners."),
        ):  # fmt: skip
            layout.addWidget(widget)

    def show_plane(self, plane: DrawnPlane) -> None:
        """Show a drawn plane as it is now."""
        self.part = plane.id
        self.name.show_value(plane.name)
        show_length(self.overhang, self.session, plane.overhang)
        self.open_below.setChecked(plane.open_below)
        lies = plane.lies
        self._slope_rows.setVisible(isinstance(lies, BySlope))
        self._height_rows.setVisible(isinstance(lies, ByHeights))
        self._edge_rows.setVisible(isinstance(lies, ByEdge))
        if isinstance(lies, BySlope):
            self.way.show_choice("slope")
            self.pitch.show_value(show_pitch(lies.slope))
            self.bearing.show_value(show_bearing(lies.bearing))
            self._offer_corners(self.at, plane, lies.through)
            show_length(self.at_height, self.session, lies.through[2])
        elif isinstance(lies, ByHeights):
            self.way.show_choice("heights")
            for choice, field, point in zip(self.corners, self.heights, lies.points, strict=True):
                self._offer_corners(choice, plane, point)
                show_length(field, self.session, point[2])
        else:
            self.way.show_choice("edge")
            self._show_tie(plane, lies)

    def _show_tie(self, plane: DrawnPlane, lies: ByEdge) -> None:
        found = self._near(plane)
        options: list[tuple[str, object]] = [(t.name, (t.section, t.edge)) for t in found]
        tied = (lies.section, lies.edge)
        if tied not in [value for _, value in options]:
            options.insert(0, ("an edge that is gone", tied))
        self.edge.offer(options)
        self.edge.show_choice(tied)
        self.sense.show_choice(lies.slope > 0)
        self.tied_pitch.show_value(show_pitch(abs(lies.slope)))

    def _offer_corners(self, choice: Choice, plane: DrawnPlane, point: Point3) -> None:
        options: list[tuple[str, object]] = [
            (f"Corner {k}", corner) for k, corner in enumerate(plane.corners, 1)
        ]
        place = point[0], point[1]
        if place not in plane.corners:
            options.insert(0, ("a point beside the corners", place))
        choice.offer(options)
        choice.show_choice(place)

    def _near(self, plane: DrawnPlane) -> list[Tie]:
        """The roof edges there are, the nearest to the plane first."""
        middle = _middle(plane.corners)
        return sorted(ties(self.session.project), key=lambda t: math.dist(t.middle, middle))

    def _now(self, plane: DrawnPlane) -> BySlope:
        """The plane as it lies now, by pitch and bearing."""
        known = by_slope(plane.lies)
        if known is not None:
            return known
        for roof in self.session.results.surface.planes:
            if roof.id.section == plane.id:
                x, y, z = (float(v) for v in roof.outline[0])
                return BySlope((x, y, z), roof.slope, roof.bearing)
        return BySlope((*plane.corners[0], 2743.2), abs(_slope_of(plane.lies)), 180.0)

    def _edit(self, text: str, change: Callable[[Project], Project]) -> None:
        self.session.attempt(text, change)

    def _change(self, text: str, **fields: object) -> None:
        self._edit(text, lambda p: change_plane(p, self.part, **fields))

    def _lie(self, text: str, change: Callable[[DrawnPlane], Lies]) -> None:
        self._edit(text, lambda p: change_plane(p, self.part, lies=change(p.plane(self.part))))

    def _take_name(self, text: str) -> None:
        self._edit("Rename drawn plane", lambda p: rename_part(p, self.part, text))

    def _take_way(self, way: object) -> None:
        self._lie("Set how the plane lies", lambda plane: self._by(str(way), plane))

    def _by(self, way: str, plane: DrawnPlane) -> Lies:
        """The plane in another way, lying as it lies."""
        now = self._now(plane)
        if way == "heights":
            return by_heights(now, plane.corners)
        if way == "slope":
            return through(now, plane.corners[0])
        if isinstance(plane.lies, ByEdge):
            return plane.lies
        chosen = tie_of(self.session.project, self.session.selection)
        near = [chosen] if chosen is not None else self._near(plane)
        if not near:
            raise DocumentError(
                "There is no roof edge to tie the plane to; draw an outline first."
            )
        tie = near[0]
        rises = height_at(now, _middle(plane.corners)) > height_at(now, tie.middle)
        return ByEdge(tie.section, tie.edge, now.slope if rises else -now.slope)

    def _take_pitch(self, text: str) -> None:
        def change(plane: DrawnPlane) -> Lies:
            slope = parse_pitch(text)
            lies = plane.lies
            if isinstance(lies, ByEdge):
                return msgspec.structs.replace(lies, slope=slope if lies.slope > 0 else -slope)
            return msgspec.structs.replace(self._now(plane), slope=slope)

        self._lie("Set pitch", change)

    def _take_bearing(self, text: str) -> None:
        self._lie(
            "Set direction",
            lambda plane: msgspec.structs.replace(self._now(plane), bearing=parse_bearing(text)),
        )

    def _take_at(self, value: object) -> None:
        """The plane stays where it is; its height is now known at another corner."""
        place = cast(Point, value)
        self._lie("Set height", lambda plane: through(self._now(plane), place))

    def _with_height(self, project: Project, mm: float) -> Project:
        lies = self._now(project.plane(self.part))
        point = (lies.through[0], lies.through[1], mm)
        return change_plane(project, self.part, lies=msgspec.structs.replace(lies, through=point))

    def _with_known(self, project: Project, k: int, mm: float) -> Project:
        lies = project.plane(self.part).lies
        if not isinstance(lies, ByHeights):
            return project
        points = list(lies.points)
        points[k] = (points[k][0], points[k][1], mm)
        a, b, c = points
        return change_plane(project, self.part, lies=ByHeights((a, b, c)))

    def _take_corner(self, k: int, value: object) -> None:
        place = cast(Point, value)

        def change(plane: DrawnPlane) -> Lies:
            if not isinstance(plane.lies, ByHeights):
                return plane.lies
            points = list(plane.lies.points)
            points[k] = (*place, height_at(self._now(plane), place))
            a, b, c = points
            return ByHeights((a, b, c))

        self._lie("Set corner", change)

    def _take_edge(self, value: object) -> None:
        section, edge = cast(tuple[str, str], value)
        self._lie(
            "Tie to roof edge",
            lambda plane: ByEdge(section, edge, _slope_of(plane.lies)),
        )

    def _take_sense(self, rises: object) -> None:
        def change(plane: DrawnPlane) -> Lies:
            slope = abs(_slope_of(plane.lies))
            lies = plane.lies
            if not isinstance(lies, ByEdge):
                return lies
            return msgspec.structs.replace(lies, slope=slope if rises else -slope)

        self._lie("Set pitch", change)

    def _with_overhang(self, project: Project, mm: float) -> Project:
        return change_plane(project, self.part, overhang=checked_overhang(mm, project.units))


def _slope_of(lies: Lies) -> float:
    known = by_slope(lies)
    if known is not None:
        return known.slope
    return lies.slope if isinstance(lies, ByEdge) else 0.0


def _middle(corners: tuple[Point, ...]) -> Point:
    xs, ys = zip(*corners, strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)
