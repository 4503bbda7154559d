"""Copies of the drawings as they lie, in rows on whole sheets.

Every drawing keeps its own arrangement and turn; its copies stand beside each other at the sheet's
part spacing, row upon row, from the lower left corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.errors import Finding, Severity
from core.layout.records import Copy, Layout, SheetLayout

if TYPE_CHECKING:
    from core.library.records import SheetStock

Bounds = tuple[float, float, float, float]


def lay_in_rows(
    bounds_mm: tuple[Bounds, ...], quantity: int, sheet: SheetStock, kerf_mm: float
) -> Layout:
    """Return `quantity` copies of every drawing in rows on as many sheets as they need.

    Parameters
    ----------
    bounds_mm : tuple of (x_min, y_min, x_max, y_max)
        What each drawing covers. [mm]
    quantity : int
        Copies of every drawing.
    sheet : SheetStock
        The sheet from the rack.
    kerf_mm : float
        Width of the slot that the cutter leaves round a part. [mm]
    """
    width, height = sheet.size_mm
    margin = sheet.edge_margin_mm + kerf_mm
    spacing = sheet.part_spacing_mm + kerf_mm
    rows = _Rows(width - margin, height - margin, margin, spacing)
    findings = []
    for drawing, (x0, y0, x1, y1) in enumerate(bounds_mm):
        size = (x1 - x0, y1 - y0)
        if size[0] > width - 2 * margin or size[1] > height - 2 * margin:
            findings.append(_too_large(drawing, size, sheet))
            continue
        for _ in range(quantity):
            x, y = rows.place(*size)
            rows.here.append(Copy(drawing, (x - x0, y - y0)))
    sheets = tuple(SheetLayout(sheet.size_mm, tuple(copies)) for copies in rows.sheets if copies)
    return Layout(sheets, tuple(findings))


@dataclass
class _Rows:
    """A pen that writes from left to right, row upon row, sheet after sheet."""

    right_mm: float
    top_mm: float
    margin_mm: float
    spacing_mm: float

    def __post_init__(self) -> None:
        self.sheets: list[list[Copy]] = []
        self._x = self._y = self._row_height = 0.0
        self._new_sheet()

    @property
    def here(self) -> list[Copy]:
        """The copies on the sheet being filled."""
        return self.sheets[-1]

    def place(self, width_mm: float, height_mm: float) -> tuple[float, float]:
        """Return the lower left corner of the next copy."""
        if self._x + width_mm > self.right_mm + 1e-9:
            self._x, self._y = self.margin_mm, self._y + self._row_height + self.spacing_mm
            self._row_height = 0.0
        if self._y + height_mm > self.top_mm + 1e-9:
            self._new_sheet()
        corner = self._x, self._y
        self._x += width_mm + self.spacing_mm
        self._row_height = max(self._row_height, height_mm)
        return corner

    def _new_sheet(self) -> None:
        self.sheets.append([])
        self._x = self._y = self.margin_mm
        self._row_height = 0.0


def _too_large(drawing: int, size_mm: tuple[float, float], sheet: SheetStock) -> Finding:
    return Finding(
        "larger-than-sheet",
        Severity.OUTSIDE,
        f"The drawing measures {size_mm[0]:.1f} x {size_mm[1]:.1f} mm and does not fit "
        f"{sheet.name} inside its edge margin of {sheet.edge_margin_mm:g} mm; choose a larger "
        "sheet or check the drawing's unit.",
        drawing=drawing,
    )
