"""Errors that carry one clear sentence for the user.

Drawn as a tree::

    RoofmodelError
    ├── TextError          (also ValueError)  text that is no length, pitch or number
    ├── DocumentError      (also ValueError)  a document or an edit that cannot be
    ├── OutlineError       (also ValueError)  an outline that no roof can stand on
    └── FileError                             a file that cannot be read or written
        ├── NotAProject                       not a project file, or a damaged one
        └── NewerVersion                      a project saved by a newer or another build

Every message says what is wrong, where, and what to do about it.
"""

from __future__ import annotations


class RoofmodelError(Exception):
    """Root of all errors that a user may see; ``str()`` of one is a whole sentence."""


class TextError(RoofmodelError, ValueError):
    """Typed text could not be understood."""


class DocumentError(RoofmodelError, ValueError):
    """A document, or an edit of one, breaks a rule of the document."""


class OutlineError(RoofmodelError, ValueError):
    """No roof can stand on this outline.

    Attributes
    ----------
    corners, edges : tuple of (ring, index)
        The corners and edges at fault, counted from 0, for the window to show.
    """

    def __init__(
        self,
        message: str,
        *,
        corners: tuple[tuple[int, int], ...] = (),
        edges: tuple[tuple[int, int], ...] = (),
    ) -> None:
        super().__init__(message)
        self.corners = corners
        self.edges = edges


class FileError(RoofmodelError):
    """A file could not be read or written."""


class NotAProject(FileError):
    """The file is no project, or it is damaged."""


class NewerVersion(FileError):
    """The project was saved by a newer version of the program, or by one that keeps in it what
    this one does not know."""
