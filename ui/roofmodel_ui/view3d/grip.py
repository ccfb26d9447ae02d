"""Dragging a height in 3D: the plan and every number follow, and it ends in one edit."""

from __future__ import annotations

import math

import numpy as np

from roofmodel.document import Project
from roofmodel.errors import RoofmodelError
from roofmodel_ui.session import Session
from roofmodel_ui.view3d.camera import Camera, Pixel
from roofmodel_ui.view3d.handles import Handle, dragged, handles, reading
from roofmodel_ui.view3d.marks import HANDLE_PX
from roofmodel_ui.view3d.sight import Sight

REACH_PX = HANDLE_PX + 6.0
STEEPEST_LOOK = 78.0
"""Seen from farther above, up and down are hardly a way on screen: no handle then."""


class Grip:
    """The handle of what is selected, and the drag of it; a `Hand` of the canvas."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.sight: Sight | None = None
        self.held: Handle | None = None
        self._look: Camera | None = None
        self._offset: Pixel = (0.0, 0.0)
        self._made: Project | None = None
        self._known: tuple[object, object] | None = None
        self._handles: list[Handle] = []
        # Whatever else edits while the button is down must not be overwritten by its release.
        session.project_changed.connect(self._let_go)

    def shown(self) -> Handle | None:
        """The handle to draw: one that is seen, or else one that is in view."""
        if self.sight is None or self.sight.camera.elevation > STEEPEST_LOOK:
            return None
        sight = self.sight
        inside: list[tuple[int, float, Handle]] = []
        for handle in self._current():
            ((x, y, depth),) = sight.camera.project(np.array([handle.place]), sight.size)
            if 0 <= x <= sight.size[0] and 0 <= y <= sight.size[1]:
                inside.append((handle.rank, float(depth), handle))
        inside.sort(key=lambda found: found[:2])  # the nearest, at the middle of its eave
        ordered = [handle for _, _, handle in inside]
        seen = (h for h in ordered if sight.sees(np.array(h.place)))
        return next(seen, ordered[0] if ordered else None)

    def pixel(self, handle: Handle) -> Pixel | None:
        """Where a handle stands on screen."""
        if self.sight is None:
            return None
        ((x, y, _),) = self.sight.camera.project(np.array([handle.place]), self.sight.size)
        return (float(x), float(y)) if math.isfinite(x) else None

    def words(self, handle: Handle) -> str:
        """What the handle's height is now."""
        return reading(self.session.results.project, handle)

    def press(self, at: Pixel) -> bool:
        """Take hold of the handle if the pointer is on it."""
        self.cancel()  # one whose release never came
        handle = self.shown()
        pixel = None if handle is None else self.pixel(handle)
        if handle is None or pixel is None or math.dist(pixel, at) > REACH_PX:
            return False
        assert self.sight is not None
        self.held, self._look = handle, self.sight.camera
        self._offset = at[0] - pixel[0], at[1] - pixel[1]
        self._made = None
        return True

    def drag(self, at: Pixel, *, free: bool) -> None:
        """The handle follows the pointer up and down."""
        if self.held is None or self._look is None or self.sight is None:
            return
        spot = at[0] - self._offset[0], at[1] - self._offset[1]
        height = self._look.height_under(spot, np.array(self.held.place), self.sight.size)
        try:
            self._made = dragged(self.session.project, self.held, height, free=free)
        except RoofmodelError:
            return  # it stays at the last height that could be
        self.session.preview(self._made)

    def release(self) -> None:
        """End in one edit."""
        held, made = self.held, self._made
        self.held = self._made = None
        if held is not None and made is not None:
            self.session.attempt(held.words, lambda _: made)

    def cancel(self) -> bool:
        """Give the drag up; whether there was one."""
        held, self.held, self._made = self.held, None, None
        if held is not None:
            self.session.cancel_preview()
        return held is not None

    def _let_go(self) -> None:
        self.held = self._made = None

    def _current(self) -> list[Handle]:
        known = (self.session.results, self.session.selection)
        if self._known is None or any(a is not b for a, b in zip(self._known, known, strict=True)):
            self._known = known
            found = handles(self.session.results, self.session.selection)
            if self.held is not None and self.held.kind == "eave":
                # The one that is held stays the one: it moves up and down with its section.
                x, y, _ = self.held.place
                found.sort(key=lambda h: math.dist(h.place[:2], (x, y)))
                found = found[:1]
            self._handles = found
        return self._handles
