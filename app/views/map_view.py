"""The map of spindle speed against chip load: the plan's mark, the trial's cross, trials kept.

The arrows move the cross one step, with Shift ten; a click or a drag puts it under the pointer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.numbers import amount, quantity, shown_unit, tidy
from app.theme import NOTE_PT, font
from app.views.map_scene import Label, MapScene
from core.units import in_system

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.desk import Desk
    from core.advice.map import SettingsMap

SPEED_STEP_RPM, LOAD_STEP_MM = 100.0, 0.002
_LEFT_PX, _BOTTOM_PX, _EDGE_PX = 44, 36, 8
_TICKS_X, _TICKS_Y = 5, 5
_SHAPE = 0.8
"""Height of the map as a share of its width."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A setting on the map: its letter (empty for the plan), spindle speed and chip load."""

    letter: str
    rpm: float
    load_mm: float


class MapView(QWidget):
    """The map; `moved` carries the setting that the cross was moved to."""

    moved = Signal(float, float)
    hovered = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.settings: SettingsMap | None = None
        self.plan: Mark | None = None
        self.cross: Mark | None = None
        self.kept: tuple[Mark, ...] = ()
        self._scene: MapScene | None = None
        self._scene_key: object = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setMinimumSize(280, 220)
        self.setAccessibleName("Map of spindle speed and chip load")

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """Say that the map keeps its shape."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Return the height of the map's shape."""
        return round(_SHAPE * width)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size at which the words fit."""
        return QSize(380, round(_SHAPE * 380))

    # what is shown

    def show_map(
        self,
        settings: SettingsMap | None,
        plan: Mark | None,
        cross: Mark | None,
        kept: Sequence[Mark] = (),
    ) -> None:
        """Show a map with its marks."""
        self.settings, self.plan, self.cross, self.kept = settings, plan, cross, tuple(kept)
        if settings is not None and cross is not None:
            self.setAccessibleDescription(self.words(cross.rpm, cross.load_mm))
        self.update()

    def words(self, rpm: float, load_mm: float) -> str:
        """Return what the map says of a setting."""
        units = self._desk.units
        where = f"{quantity(rpm, 'rpm', units)}, {quantity(load_mm, 'mm', units)}"
        if self.settings is None:
            return where
        row, column = self.settings.cell(rpm, load_mm)
        worst = 100.0 * float(self.settings.worst_ratio[row, column])
        label = self.settings.binding_label(row, column)
        maker = "; outside the maker\u2019s range" if self.settings.hatched[row, column] else ""
        return tidy(f"{where}: worst margin {worst:+.0f} %, {label}{maker}")

    def area(self) -> QRectF:
        """Return where the map lies, without its axes."""
        width, height = self.width() - _LEFT_PX - _EDGE_PX, self.height() - _BOTTOM_PX - _EDGE_PX
        return QRectF(_LEFT_PX, _EDGE_PX, max(width, 10), max(height, 10))

    def scene(self) -> MapScene | None:
        """Return the picture at the present size and theme, made when it has changed."""
        if self.settings is None:
            return None
        size, colours = self.area().size().toSize(), self._desk.theme.palette
        scene, key = self._scene, (size, colours.name)
        if scene is None or scene.settings is not self.settings or self._scene_key != key:
            self._scene, self._scene_key = MapScene(self.settings, size, colours), key
        return self._scene

    def pixel_of(self, rpm: float, load_mm: float) -> QPointF:
        """Return where a setting stands in the widget."""
        scene = self.scene()
        assert scene is not None, "only a map has places"
        return scene.to_pixel(rpm, load_mm) + self.area().topLeft()

    # painting

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint colours, zero line, words, maker's range, marks and axes."""
        painter = QPainter(self)
        painter.setFont(font(NOTE_PT))
        scene, area = self.scene(), self.area()
        colours = self._desk.theme.palette
        if scene is not None:
            painter.drawImage(area.topLeft(), scene.image)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.save()
            painter.setClipRect(area)
            painter.translate(area.topLeft())
            for colour, width in ((colours.paper, 4.0), (colours.ink, 2.0)):
                painter.setPen(QPen(QColor(colour), width))
                for line in scene.zero_lines:
                    painter.drawPolyline(line)
            self._paint_maker(painter, scene)
            self._paint_labels(painter, scene.labels)
            painter.restore()
            painter.save()
            painter.setClipRect(area.adjusted(-_EDGE_PX, -_EDGE_PX, _EDGE_PX, _EDGE_PX))
            self._paint_marks(painter)
            painter.restore()
            self._paint_axes(painter, scene)
        painter.setPen(QPen(QColor(colours.focus if self.hasFocus() else colours.border), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(area)
        painter.end()

    def _paint_maker(self, painter: QPainter, scene: MapScene) -> None:
        """Draw both ends of the maker's range."""
        settings, colours = scene.settings, self._desk.theme.palette
        painter.setPen(QPen(QColor(colours.ink), 1, Qt.PenStyle.DashLine))
        for load in (settings.maker_low_mm, settings.maker_high_mm):
            y = scene.to_pixel(0.0, load).y()
            painter.drawLine(QPointF(0, y), QPointF(scene.size.width(), y))

    def _paint_labels(self, painter: QPainter, labels: Sequence[Label]) -> None:
        """Draw words on patches of paper, whole inside the map, none over another."""
        colours, metrics = self._desk.theme.palette, QFontMetricsF(painter.font())
        patch = QColor(colours.paper)
        patch.setAlpha(225)
        taken = [self._around(mark) for mark in (self.plan, self.cross, *self.kept) if mark]
        for label in labels:
            box = self._room_for(label, metrics, taken)
            if box is None:
                continue
            taken.append(box)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(patch)
            painter.drawRoundedRect(box, 3, 3)
            painter.setPen(QColor(colours.line["outside"] if label.is_outside else colours.ink))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label.words)

    def _around(self, mark: Mark) -> QRectF:
        """Return the room that a mark takes, in pixels of the map."""
        at = self.pixel_of(mark.rpm, mark.load_mm) - self.area().topLeft()
        return QRectF(at.x() - 12, at.y() - 12, 24, 24)

    def _room_for(
        self, label: Label, metrics: QFontMetricsF, taken: Sequence[QRectF]
    ) -> QRectF | None:
        """Return where words can stand near their place without covering anything."""
        area = self.area()
        width, height = metrics.horizontalAdvance(label.words) + 10, metrics.height() + 4
        x = min(max(label.at.x() - width / 2, 2.0), area.width() - width - 2)
        for rows in (0, 1, -1, 2, -2, 3, -3):
            y = label.at.y() - height / 2 + rows * height
            box = QRectF(x, min(max(y, 2.0), area.height() - height - 2), width, height)
            if not any(box.intersects(other) for other in taken):
                return box
        return None

    def _paint_marks(self, painter: QPainter) -> None:
        colours = self._desk.theme.palette
        for mark in self.kept:
            self._paint_letter(painter, mark)
        if self.cross is not None:
            at = self.pixel_of(self.cross.rpm, self.cross.load_mm)
            for colour, width in ((colours.paper, 5.0), (colours.focus, 2.5)):
                painter.setPen(QPen(QColor(colour), width))
                painter.drawLine(at - QPointF(11, 0), at + QPointF(11, 0))
                painter.drawLine(at - QPointF(0, 11), at + QPointF(0, 11))
        if self.plan is not None:
            at = self.pixel_of(self.plan.rpm, self.plan.load_mm)
            painter.setPen(QPen(QColor(colours.paper), 2))
            painter.setBrush(QColor(colours.ink))
            painter.drawEllipse(at, 5.0, 5.0)

    def _paint_letter(self, painter: QPainter, mark: Mark) -> None:
        colours, at = self._desk.theme.palette, self.pixel_of(mark.rpm, mark.load_mm)
        painter.setPen(QPen(QColor(colours.ink), 1))
        painter.setBrush(QColor(colours.paper))
        box = QRectF(at.x() - 8, at.y() - 8, 16, 16)
        painter.drawRect(box)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, mark.letter)

    def _paint_axes(self, painter: QPainter, scene: MapScene) -> None:
        from app.views.sheet_scene import nice_step

        area, colours, units = self.area(), self._desk.theme.palette, self._desk.units
        painter.setPen(QColor(colours.muted))
        speeds, loads = scene.settings.spindle_speed_rpm, scene.settings.feed_per_tooth_mm
        step = nice_step(float(speeds[-1] - speeds[0]), _TICKS_X)
        value = step
        while value <= speeds[-1]:
            x = self.pixel_of(value, 0.0).x()
            if area.left() + 12 <= x <= area.right() - 12:
                box = QRectF(x - 40, area.bottom() + 2, 80, 15)
                words = amount(value, "rpm", units)
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
            value += step
        unit_mm = 1.0 / in_system(1.0, "mm", units)[0]
        step = nice_step(float(loads[-1] - loads[0]) / unit_mm, _TICKS_Y) * unit_mm
        value = step
        while value <= loads[-1]:
            y = self.pixel_of(0.0, value).y()
            if area.top() + 6 <= y <= area.bottom() - 6:
                box = QRectF(0, y - 8, _LEFT_PX - 5, 16)
                right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                painter.drawText(box, right, f"{value / unit_mm:.4g}")
            value += step
        below = QRectF(area.left(), area.bottom() + 17, area.width(), 16)
        names = f"chip load {shown_unit('mm', units)} \u2191 \u00b7 spindle speed rpm \u2192"
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, names)

    # keys and mouse

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Move the cross."""
        ten = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        moves = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, 1),
            Qt.Key.Key_Down: (0, -1),
        }
        move = moves.get(Qt.Key(event.key()))
        other = event.modifiers() & ~(
            Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier
        )
        if move is None or other or self.cross is None or self.settings is None:
            super().keyPressEvent(event)
            return
        rpm = self.cross.rpm + move[0] * ten * SPEED_STEP_RPM
        load = self.cross.load_mm + move[1] * ten * LOAD_STEP_MM
        self._move(rpm, load)

    def _move(self, rpm: float, load_mm: float) -> None:
        settings = self.settings
        assert settings is not None, "only a map has a cross"
        speeds, loads = settings.spindle_speed_rpm, settings.feed_per_tooth_mm
        rpm = min(max(rpm, float(speeds[0])), float(speeds[-1]))
        load_mm = min(max(load_mm, float(loads[0])), float(loads[-1]))
        self.moved.emit(round(rpm), round(load_mm, 4))

    def _put(self, at: QPointF) -> None:
        scene = self.scene()
        if scene is not None and self.cross is not None:
            rpm, load = scene.to_setting(at - self.area().topLeft())
            # a pixel is coarser than a step: what is pointed at is a round number
            self._move(
                SPEED_STEP_RPM * round(rpm / SPEED_STEP_RPM),
                LOAD_STEP_MM * round(load / LOAD_STEP_MM),
            )

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Put the cross under the pointer."""
        if event.button() is Qt.MouseButton.LeftButton and self.area().contains(event.position()):
            self._put(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Drag the cross, or tell what is under the pointer."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._put(event.position())
            return
        scene, inside = self.scene(), self.area().contains(event.position())
        if scene is not None and inside:
            at = scene.to_setting(event.position() - self.area().topLeft())
            self.hovered.emit(self.words(*at))
        else:
            self.hovered.emit("")
