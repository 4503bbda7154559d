"""Jobs for the benchmarks: rounded plates with four holes each, in rows."""

import io
import math

import ezdxf
import numpy as np

from core.job import DrawingFile, Job
from core.pipeline import Pipeline

CONTOURS_A_PLATE = 5


def _plate(modelspace, x, y, width, height, radius):
    bulge = math.tan(math.pi / 8.0)
    w, h, r = width, height, radius
    corners = [
        *((r, 0, 0.0), (w - r, 0, bulge), (w, r, 0.0), (w, h - r, bulge)),
        *((w - r, h, 0.0), (r, h, bulge), (0, h - r, 0.0), (0, r, bulge)),
    ]
    points = [(x + a, y + b, c) for a, b, c in corners]
    modelspace.add_lwpolyline(points, format="xyb", close=True)


def plates(contours, seed=1):
    """Return a job of so many contours, 100 to 130 by 70 to 95 mm with holes of 8 to 13 mm."""
    document = ezdxf.new()
    document.header["$INSUNITS"] = 4
    modelspace, rng = document.modelspace(), np.random.default_rng(seed)
    count = contours // CONTOURS_A_PLATE
    columns = math.ceil(math.sqrt(count))
    for number in range(count):
        x, y = (number % columns) * 150.0, (number // columns) * 110.0
        width, height = rng.uniform(100.0, 130.0), rng.uniform(70.0, 95.0)
        _plate(modelspace, x, y, width, height, 8.0)
        for hole in ((15, 15), (width - 15, 15), (15, height - 15), (width - 15, height - 15)):
            radius = float(rng.choice([4.0, 5.0, 6.5]))
            modelspace.add_circle((x + hole[0], y + hole[1]), radius)
    out = io.StringIO()
    document.write(out)
    return Job(name="plates", drawings=(DrawingFile("plates.dxf", out.getvalue().encode()),))


def planned(job):
    """Return a pipeline that has planned a job, and what it found."""
    line = Pipeline()
    return line, line.results(job)
