"""The roof model: outlines and pitches in, planes, edges and quantities out. No Qt, no files."""

__version__ = "0.1.0"
