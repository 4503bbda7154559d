"""Small drawings of our own for the window's tests, and windows that really read them."""

from __future__ import annotations

import io
from functools import lru_cache

import ezdxf
from by_hand import settled

from core.job.job import DrawingFile, Job


def content(document):
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


@lru_cache(maxsize=1)
def messy():
    """A plate of 120 x 80 without a unit: two gaps, a line twice, four holes alike, odd layers."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 0
    space = document.modelspace()

    def line(start, end, layer="cut"):
        space.add_line(start, end, dxfattribs={"layer": layer})

    line((0, 0), (120, 0))
    line((120, 0.05), (120, 80))
    line((120, 80), (0, 80))
    line((0, 80), (0, 0.06))
    line((0, 0), (120, 0))
    for x in (15, 105):
        for y in (15, 65):
            space.add_circle((x, y), 4, dxfattribs={"layer": "cut"})
    space.add_circle((60, 40), 15, dxfattribs={"layer": "window"})
    line((0, 40), (40, 40), "guides")
    document.layers.add("old").freeze()
    space.add_circle((30, 30), 2, dxfattribs={"layer": "defpoints"})
    space.add_circle((60, 70), 3, dxfattribs={"layer": "old"})
    return content(document)


def messy_job(**changes):
    return Job(drawings=(DrawingFile("messy.dxf", messy(), **changes),))


def show_job(qtbot, window, job):
    """Put a job on the desk and wait for its plan."""
    window.desk.document.replace(job, None)
    settled(qtbot, window)
    report = window.desk.report
    assert report is not None, window.desk.document.problem
    return report


def codes(report, drawing=0):
    return [finding.code for finding in report.drawings[drawing].findings]
