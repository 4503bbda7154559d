"""The sheet at true scale: paths painted by a number, hover tells it, a click selects.

The still picture is painted once into a pixmap; panning and zooming move that pixmap and paint it
anew 30 ms after the last event. Selection, marks and the tip lie over it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from app.selection import Looked
from app.views import sheet_overlay
from app.views.camera import Camera
from app.views.outline_pick import contour_at
from app.views.scales import Paint, pens
from app.views.sheet_overlay import RULER_PX
from app.views.sheet_scene import SheetScene, copy_transform
from app.views.strokes import cosmetic_pen

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk import Desk
    from core.errors import Finding

_SETTLE_MS = 30
_NEAR_PX = 7.0
_DRAG_PX = 4
_ZOOM_STEP = 1.25
_SMALL_SHARE = 0.4
"""Share of the sheet below which its parts alone are shown at first."""


class SheetView(QWidget):
    """The drawing surface."""

    finding_clicked = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.scene = SheetScene()
        self.paint_by = Paint(desk.settings["paint"])
        self.camera = Camera()
        self.hovered: sheet_overlay.Hovered | None = None
        self.cutter: sheet_overlay.CutterMark | None = None
        self._still: tuple[QPixmap, QTransform, object] | None = None
        self._ground: tuple[QPixmap, object] | None = None
        self._moving = False
        self._fitted: Callable[[], None] | None = self._fit_first
        self._pressed: QPointF | None = None
        self._dragged = False
        self._settle = QTimer(self, singleShot=True, interval=_SETTLE_MS)
        self._settle.timeout.connect(self._settled)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(320, 200)
        self.setAccessibleName("Sheet")
        self.setAccessibleDescription(
            "The sheet at true scale with the cutter's paths; the table below says the same."
        )
        desk.document.changed.connect(self.load)
        desk.selection.changed.connect(self.update)
        desk.theme.changed.connect(self.update)
        desk.units_changed.connect(self.update)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that shows something."""
        return QSize(760, 420)

    # what is shown

    def load(self) -> None:
        """Show the latest report."""
        is_new = self.scene.load(self.desk.report)
        self.scene.colour(self.paint_by)
        self.hovered = None
        if is_new and self._fitted is not None:
            self._fitted()
        self.update()

    def set_paint(self, paint: Paint) -> None:
        """Paint the paths by another number."""
        self.paint_by = paint
        self.desk.settings["paint"] = paint.value
        self.scene.colour(paint)
        self.hovered = None
        self.update()

    def show_sheet(self, index: int) -> None:
        """Show another sheet of the job."""
        self.scene.sheet_index = index
        self.scene.ground_revision += 1
        self.fit()

    # where it is looked at from

    def transform(self) -> QTransform:
        """Return the transform from the sheet in mm to pixels."""
        return self.camera.transform()

    def to_sheet(self, at: QPointF) -> QPointF:
        """Return the place on the sheet under a pixel. [mm]."""
        return self.camera.to_sheet(at)

    def fit(self) -> None:
        """Show everything."""
        self.show_rect(self.scene.bounds())
        self._fitted = self.fit

    def _fit_first(self) -> None:
        """Show the parts where they are few on a large sheet, else everything."""
        parts, everything = self.scene.parts_bounds(), self.scene.bounds()
        small = parts.width() * parts.height() < _SMALL_SHARE * (
            everything.width() * everything.height()
        )
        self.show_rect(parts if small else everything)
        self._fitted = self._fit_first

    def fit_selected(self) -> None:
        """Show the selected contour, or everything if none is selected."""
        contour = self.desk.contour()
        if contour is None:
            self.fit()
            return
        low, high = contour.outline_mm.min(axis=0), contour.outline_mm.max(axis=0)
        rect = QRectF(QPointF(*map(float, low)), QPointF(*map(float, high)))
        for copy in self.scene.copies():
            if copy.drawing == contour.drawing:
                self.show_rect(copy_transform(copy).mapRect(rect))
                break

    def show_rect(self, rect: QRectF) -> None:
        """Show a rectangle of the sheet. [mm]."""
        self._fitted = None
        self.camera.show(rect)
        self._still = None
        self.update()

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom about a pixel, or about the middle."""
        self.camera.zoom(factor, about)
        self._moved()

    def pan(self, dx_px: float, dy_px: float) -> None:
        """Move the sheet by pixels."""
        self.camera.pan(dx_px, dy_px)
        self._moved()

    def _moved(self) -> None:
        self._fitted = None
        self._moving = True
        self._settle.start()
        self.update()

    def _settled(self) -> None:
        self._moving = False
        self.update()

    # painting

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the still picture, then what lies over it."""
        painter = QPainter(self)
        transform = self.transform()
        pixmap, drawn_with = self._still_picture(transform)
        if drawn_with == transform:
            painter.drawPixmap(0, 0, pixmap)
        else:
            painter.fillRect(self.rect(), QColor(self.desk.theme.palette.panel))
            painter.setTransform(drawn_with.inverted()[0] * transform)
            painter.drawPixmap(0, 0, pixmap)
            painter.resetTransform()
        sheet_overlay.paint(painter, self)
        painter.end()

    def _still_picture(self, transform: QTransform) -> tuple[QPixmap, QTransform]:
        """Return the picture of all paths and the transform that it was painted with."""
        key = (*self._ground_key(), *(drawing.strokes.revision for drawing in self.scene.drawings))
        still = self._still
        if still is None or still[2] != key or (still[1] != transform and not self._moving):
            pixmap = self._ground_picture(transform).copy()
            painter = QPainter(pixmap)
            copies = self.scene.copies()
            path_pens = self._pens(len(copies))
            smooth = path_pens[0].width() > 1
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=smooth)
            for copy in copies:
                if copy.drawing < len(self.scene.drawings):
                    painter.setTransform(copy_transform(copy) * transform)
                    self.scene.drawings[copy.drawing].strokes.paint(painter, path_pens)
            painter.end()
            still = self._still = pixmap, transform, key
        return still[0], still[1]

    def _ground_key(self) -> tuple[object, ...]:
        theme = self.desk.theme.palette.name
        return self.size(), self.devicePixelRatio(), self.scene.ground_revision, theme

    def _ground_picture(self, transform: QTransform) -> QPixmap:
        """Return the picture of sheet and outlines, which no lever changes."""
        key = (*self._ground_key(), transform)
        if self._ground is None or self._ground[1] != key:
            ratio = self.devicePixelRatio()
            pixmap = QPixmap(self.size() * ratio)
            pixmap.setDevicePixelRatio(ratio)
            pixmap.fill(QColor(self.desk.theme.palette.panel))
            painter = QPainter(pixmap)
            self._paint_ground(painter, transform)
            painter.end()
            self._ground = pixmap, key
        return self._ground[0]

    def _paint_ground(self, painter: QPainter, transform: QTransform) -> None:
        colours = self.desk.theme.palette
        sheet = self.scene.sheet_rect()
        painter.setTransform(transform)
        if sheet is not None:
            painter.setPen(cosmetic_pen(colours.border, 1))
            painter.setBrush(QColor(colours.sheet))
            painter.drawRect(sheet)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(cosmetic_pen(colours.border, 1))
        painter.setBrush(QColor(colours.paper))
        for copy in self.scene.copies():
            if copy.drawing < len(self.scene.drawings):
                painter.setTransform(copy_transform(copy) * transform)
                painter.drawPath(self.scene.drawings[copy.drawing].outline)

    def _pens(self, copies: int) -> list[QPen]:
        strokes = [drawing.strokes for drawing in self.scene.drawings]
        width = min((one.width_px(copies) for one in strokes), default=1)
        return pens(self.paint_by, self.desk.theme.palette, width, self.devicePixelRatio())

    # mouse and keys

    def _look(self, at: QPointF) -> sheet_overlay.Hovered | None:
        place = self.to_sheet(at)
        found = self.scene.nearest(place.x(), place.y(), _NEAR_PX / self.camera.scale)
        if found is None:
            return None
        drawing, index, sample, copy = found
        contour, step = self.scene.drawings[drawing].place(index)
        trace = contour.passes[step].trace
        sample = min(sample, len(trace.xy_mm) - 1)
        x, y = (float(v) for v in np.asarray(trace.xy_mm[sample]))
        return sheet_overlay.Hovered(contour, step, sample, copy, (x, y))

    def finding_at(self, at: QPointF) -> Finding | None:
        """Return the finding whose mark is at a pixel, if there is one."""
        for finding, where in sheet_overlay.finding_places(self):
            if (where - at).manhattanLength() <= 2 * _NEAR_PX:
                return finding
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Begin a click or a drag."""
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._pressed, self._dragged = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Pan while a button is down, else tell the number under the pointer."""
        if self._pressed is not None and event.buttons():
            moved = event.position() - self._pressed
            if self._dragged or moved.manhattanLength() > _DRAG_PX:
                self._dragged = True
                self._pressed = event.position()
                self.pan(moved.x(), moved.y())
            return
        hovered = self._look(event.position())
        if hovered != self.hovered:
            self.hovered = hovered
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Select what was clicked."""
        clicked = self._pressed is not None and not self._dragged
        self._pressed = None
        if not clicked or event.button() is not Qt.MouseButton.LeftButton:
            return
        finding = self.finding_at(event.position())
        if finding is not None:
            self.finding_clicked.emit(finding)
            return
        self.select_at(event.position())

    def select_at(self, at: QPointF) -> None:
        """Select the pass whose path lies at a pixel, or the contour whose outline does."""
        found = self._look(at)
        if found is not None:
            contour = found.contour
            limit = self.desk.selection.now.limit
            looked = Looked((contour.drawing, contour.id), found.step, limit, found.at_mm)
            self.desk.selection.set(looked)
            return
        drawn = contour_at(self.scene, self.to_sheet(at), _NEAR_PX / self.camera.scale)
        if drawn is not None:
            self.desk.selection.set(Looked((drawn.drawing, drawn.id)))

    def mouseDoubleClickEvent(self, _event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Show everything."""
        self.fit()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Zoom about the pointer."""
        self.zoom(_ZOOM_STEP ** (event.angleDelta().y() / 120.0), event.position())

    def leaveEvent(self, _event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Forget what was hovered."""
        self.hovered = None
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep everything in view if everything was in view."""
        super().resizeEvent(event)
        width, height = self.width() - RULER_PX, self.height() - RULER_PX
        self.camera.area = QRectF(RULER_PX, 0, width, height)
        if self._fitted is not None:
            self._fitted()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Pan with the arrows."""
        step = 40.0
        moves = {
            Qt.Key.Key_Left: (step, 0.0),
            Qt.Key.Key_Right: (-step, 0.0),
            Qt.Key.Key_Up: (0.0, step),
            Qt.Key.Key_Down: (0.0, -step),
        }
        move = moves.get(Qt.Key(event.key()))
        if move is None or event.modifiers() & Qt.KeyboardModifier.AltModifier:
            super().keyPressEvent(event)
        else:
            self.pan(*move)
