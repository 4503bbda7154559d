"""The contours and their passes as a table for Qt; the text twin of the sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt, Signal

from app.desk import step_name
from app.numbers import NONE, amount, shown_unit
from app.selection import Looked
from app.theme import TEXT_PT, font
from core.job.job import Task

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk import Desk
    from core.report.records import ContourReport, PassReport

    AnyIndex = QModelIndex | QPersistentModelIndex

MARGIN_ROLE = Qt.ItemDataRole.UserRole + 1
NOT_CUT = "not cut"


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its head, its unit, and what it shows of a contour and of a pass."""

    head: str
    unit: str
    of_contour: Callable[[ContourReport], str | float | None]
    of_pass: Callable[[PassReport], str | float | None]
    tip: str = ""


def _blank(_contour: ContourReport) -> str:
    return ""


def _state(contour: ContourReport) -> str:
    """Return the worst state of a contour; one that should be cut and has no pass is told."""
    if not len(contour.passes):
        return "" if contour.task == Task.NONE else NOT_CUT
    return contour.state.value


def _margin(cut_pass: PassReport) -> float | None:
    return None if cut_pass.heat_margin_k is None else cut_pass.heat_margin_k.nominal


def _least_margin(contour: ContourReport) -> float | None:
    margins = [m for m in map(_margin, contour.passes) if m is not None]
    return min(margins, default=None)


COLUMNS = (
    Column("Contour, pass", "", lambda c: f"{c.id}  {c.name}", lambda p: p.step),
    Column("State", "", _state, lambda p: p.state.value),
    Column("Cutter", "", lambda c: c.task.replace("_", " "), lambda p: p.cutter_name),
    Column("Spindle", "rpm", _blank, lambda p: p.spindle_speed_rpm),
    Column("Feed", "mm/min", _blank, lambda p: p.feed_speed_mm_min),
    Column("Depth", "mm", _blank, lambda p: p.z_top_mm - p.z_bottom_mm, "depth of this pass"),
    Column("Chip\nload", "mm", _blank, lambda p: p.feed_per_tooth_mm, "chip load planned"),
    Column(
        "Actual\n5 %",
        "mm",
        _blank,
        lambda p: p.feed_per_tooth_reached_mm.p5,
        "actual chip load: less than this on 5 % of the way",
    ),
    Column(
        "Actual\nmean",
        "mm",
        _blank,
        lambda p: p.feed_per_tooth_reached_mm.mean,
        "actual chip load: mean along the way",
    ),
    Column("Heat\nmargin", "K", _least_margin, _margin, "below softening, modelled"),
    Column("Time", "s", lambda c: c.time_s, lambda p: p.time_s),
)
STATE_COLUMN, CUTTER_COLUMN, MARGIN_COLUMN = 1, 2, 9


class ContourModel(QAbstractItemModel):
    """Contours at the top, passes below each; ids: 0 for a contour, row + 1 of it for a pass.

    `renewed` says that all cells may have changed but no row came or went.
    """

    renewed = Signal()

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self._contours: tuple[ContourReport, ...] = ()
        desk.document.changed.connect(self.load)
        desk.units_changed.connect(self._on_units)

    @property
    def contours(self) -> tuple[ContourReport, ...]:
        """What the table shows."""
        return self._contours

    def load(self) -> None:
        """Show the latest report."""
        report = self._desk.report
        contours = report.contours if report is not None else ()
        shape = [(c.drawing, c.id, len(c.passes)) for c in contours]
        if shape == [(c.drawing, c.id, len(c.passes)) for c in self._contours]:
            self._contours = contours
            self._all_changed()
        else:
            self.beginResetModel()
            self._contours = contours
            self.endResetModel()

    def _on_units(self) -> None:
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(COLUMNS) - 1)
        self._all_changed()

    def _all_changed(self) -> None:
        if self._contours:
            # dataChanged would have Qt's tree search for every row: 16 ms at 500 contours
            self.renewed.emit()

    # the shape

    def index(self, row: int, column: int, parent: AnyIndex | None = None) -> QModelIndex:
        """Return the index of a cell; none outside the table, or Qt reads beyond its rows."""
        if not (0 <= row < self.rowCount(parent) and 0 <= column < len(COLUMNS)):
            return QModelIndex()
        if parent is None or not parent.isValid():
            return self.createIndex(row, column, 0)
        return self.createIndex(row, column, parent.row() + 1)

    def parent(self, index: AnyIndex) -> QModelIndex:  # type: ignore[override]
        """Return the contour of a pass."""
        owner = index.internalId()
        return self.createIndex(owner - 1, 0, 0) if owner else QModelIndex()

    def rowCount(self, parent: AnyIndex | None = None) -> int:  # noqa: N802 - Qt's name
        """Return how many contours, or passes of a contour, there are."""
        if parent is None or not parent.isValid():
            return len(self._contours)
        if parent.internalId() or parent.column() > 0:
            return 0
        return len(self._contours[parent.row()].passes)

    def columnCount(self, _parent: AnyIndex | None = None) -> int:  # noqa: N802 - Qt's name
        """Return how many columns there are."""
        return len(COLUMNS)

    # the cells

    def at(self, index: AnyIndex) -> tuple[ContourReport, int | None]:
        """Return the contour of a row and, for a pass, its index."""
        owner = index.internalId()
        if owner:
            return self._contours[owner - 1], index.row()
        return self._contours[index.row()], None

    def looked(self, index: AnyIndex) -> Looked:
        """Return what a row stands for."""
        contour, step = self.at(index)
        return Looked((contour.drawing, contour.id), step)

    def index_of(self, looked: Looked) -> QModelIndex:
        """Return the row that shows what is looked at."""
        for row, contour in enumerate(self._contours):
            if (contour.drawing, contour.id) == looked.contour:
                parent = self.index(row, 0)
                if looked.step is not None and looked.step < len(contour.passes):
                    return self.index(looked.step, 0, parent)
                return parent
        return QModelIndex()

    def text(self, index: AnyIndex) -> str:
        """Return what a cell says."""
        column = COLUMNS[index.column()]
        contour, step = self.at(index)
        if step is not None and index.column() == 0:
            return step_name(contour, step)
        value = column.of_contour(contour) if step is None else column.of_pass(contour.passes[step])
        if isinstance(value, str):
            return value
        return NONE if value is None else amount(value, column.unit, self._desk.units)

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return what Qt asks for."""
        contour, step = self.at(index)
        if role == Qt.ItemDataRole.DisplayRole:
            return self.text(index)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            right = COLUMNS[index.column()].unit != ""
            side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        if role == Qt.ItemDataRole.FontRole:
            return font(TEXT_PT, bold=step is None and index.column() == 0)
        if role == MARGIN_ROLE:
            return _least_margin(contour) if step is None else _margin(contour.passes[step])
        return None

    def headerData(  # noqa: N802 - Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Return the head of a column with its unit."""
        if orientation is not Qt.Orientation.Horizontal:
            return None
        column = COLUMNS[section]
        if role == Qt.ItemDataRole.DisplayRole:
            return self.head(section)
        if role == Qt.ItemDataRole.ToolTipRole:
            return column.tip or None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if column.unit else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        return None

    def head(self, section: int) -> str:
        """Return the head of a column with its unit."""
        column = COLUMNS[section]
        unit = shown_unit(column.unit, self._desk.units)
        between = " " if "\n" in column.head else "\n"
        return f"{column.head}{between}{unit}" if unit else column.head
