"""Draws the sample jobs of Kiln Lane Plastics, a small shop that makes guards for a bakery.

Run from the project's folder: `PYTHONHASHSEED=0 python -m sample_jobs.draw_samples` (the seed makes
the same files every time). It writes each job's drawing (DXF, mm) and job file. All is invented.
"""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import ezdxf
from ezdxf.lldxf.const import LWPOLYLINE_CLOSED

from core.job import DrawingFile, Job
from core.job.file import save_job

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Modelspace

HERE = Path(__file__).parent
QUARTER_BULGE = 0.41421356237309503
"""tan(90 degrees / 4): a corner arc."""


def new_drawing() -> tuple[Drawing, Modelspace]:
    """Return an empty drawing in millimetres."""
    # no dates, no random identifiers
    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    doc.header["$MEASUREMENT"] = 1
    return doc, doc.modelspace()


def rounded(
    space: Modelspace, x: float, y: float, width: float, height: float, radius: float, layer: str
) -> None:
    """Draw a rectangle with round corners; radius half the height makes it a slot."""
    right, top, r = x + width, y + height, radius
    corners = [
        (x + r, y, 0.0),
        (right - r, y, QUARTER_BULGE),
        (right, y + r, 0.0),
        (right, top - r, QUARTER_BULGE),
        (right - r, top, 0.0),
        (x + r, top, QUARTER_BULGE),
        (x, top - r, 0.0),
        (x, y + r, QUARTER_BULGE),
    ]
    line = space.add_lwpolyline(corners, format="xyb", dxfattribs={"layer": layer})
    line.dxf.flags |= LWPOLYLINE_CLOSED


def guard_panel() -> bytes:
    """Guard panel of a dough divider: outline, hand slot, eight fixing holes."""
    doc, space = new_drawing()
    rounded(space, 0.0, 0.0, 600.0, 400.0, 25.0, "outline")
    rounded(space, 250.0, 335.0, 100.0, 30.0, 15.0, "hand slot")
    for x in (20.0, 300.0, 580.0):
        for y in (20.0, 380.0):
            space.add_circle((x, y), 4.0, dxfattribs={"layer": "fixing holes"})
    for x in (20.0, 580.0):
        space.add_circle((x, 200.0), 4.0, dxfattribs={"layer": "fixing holes"})
    space.add_text("GUARD, DOUGH DIVIDER", height=8.0).set_placement((180.0, 200.0))
    return written(doc)


def scale_cover() -> bytes:
    """Dust cover of a flour scale: a window whose corner radius equals the 6 mm cutter's."""
    doc, space = new_drawing()
    rounded(space, 0.0, 0.0, 320.0, 240.0, 12.0, "outline")
    rounded(space, 60.0, 60.0, 200.0, 110.0, 3.0, "window")
    for x in (15.0, 305.0):
        for y in (15.0, 225.0):
            space.add_circle((x, y), 4.0, dxfattribs={"layer": "holes"})
    return written(doc)


def shop_sign() -> bytes:
    """Sign with a row of small scallops: radii so small that the chip load falls short."""
    doc, space = new_drawing()
    step, count, radius = 16.0, 15, 4.0
    points: list[tuple[float, float, float]] = [(0.0, 0.0, 0.0), (count * step, 0.0, 0.0)]
    points.append((count * step, 120.0, 0.0))
    for k in range(count, 0, -1):
        right = k * step - (step / 2.0 - radius)
        points += [(right, 120.0, 1.0), (right - 2.0 * radius, 120.0, 0.0)]
    points.append((0.0, 120.0, 0.0))
    line = space.add_lwpolyline(points, format="xyb", dxfattribs={"layer": "outline"})
    line.dxf.flags |= LWPOLYLINE_CLOSED
    for x in (20.0, 220.0):
        space.add_circle((x, 100.0), 5.0, dxfattribs={"layer": "holes"})
    return written(doc)


def written(doc: Drawing) -> bytes:
    """Return the drawing as the bytes of an ASCII DXF."""
    out = io.StringIO()
    doc.write(out)
    return out.getvalue().encode()


def jobs() -> dict[str, Job]:
    """Return the sample jobs by folder name."""
    plain = Job()
    return {
        "guard_panel": replace(
            plain,
            name="guard panel, dough divider",
            drawings=(DrawingFile("guard_panel.dxf", guard_panel()),),
            material="polycarbonate",
            thickness_mm=6.0,
            quantity=4,
        ),
        "scale_cover": replace(
            plain,
            name="dust cover, flour scale",
            drawings=(DrawingFile("scale_cover.dxf", scale_cover()),),
            material="acrylic_cast",
            thickness_mm=10.0,
            quantity=2,
        ),
        "shop_sign": replace(
            plain,
            name="sign, Kiln Lane Plastics",
            drawings=(DrawingFile("shop_sign.dxf", shop_sign()),),
            material="acrylic_cast",
            thickness_mm=5.0,
            quantity=1,
        ),
    }


def main() -> None:
    """Write every drawing and job file."""
    for folder, job in jobs().items():
        (HERE / folder).mkdir(exist_ok=True)
        (HERE / folder / job.drawings[0].name).write_bytes(job.drawings[0].content)
        save_job(HERE / folder / f"{folder}.pane", job)


if __name__ == "__main__":
    main()
