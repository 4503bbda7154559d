"""Reads a drawing: DXF bytes to loose lines and arcs in mm, with its unit and what was left out."""

from core.drawing.opening import open_drawing_file
from core.drawing.reading import read_drawing

__all__ = ["open_drawing_file", "read_drawing"]
