"""Drawings for the tests of advice: a plate with a hole, and a long straight line."""

import io
from functools import lru_cache

import ezdxf

from core.job import ContourChoice, DrawingFile, Job, Task


@lru_cache
def plate(*holes, size_mm=(300.0, 200.0), line_mm=0.0):
    """Return a rectangle with round holes (x, y, diameter), and an open line above it."""
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    width, height = size_mm
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    space.add_lwpolyline(corners, close=True)
    for x, y, diameter in holes:
        space.add_circle((x, y), diameter / 2.0)
    if line_mm:
        space.add_line((0.0, height + 50.0), (line_mm, height + 50.0))
    text = io.StringIO()
    document.write(text)
    cut = (ContourChoice(len(holes) + 2, Task.ON_LINE),) if line_mm else ()
    return DrawingFile("plate.dxf", text.getvalue().encode(), contours=cut)


def job(drawing, **choices):
    """Return a job that cuts one plate out of cast acrylic."""
    chosen = {"material": "acrylic_cast", "thickness_mm": 6.0} | choices
    return Job(drawings=(drawing,), **chosen)
