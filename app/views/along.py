"""Along the cut: a time slider under the sheet moves the cutter along the plan.

The cutter on the sheet, the numbers at that instant and the cursor of the chart are one. Selecting
a pass goes to where it begins; the slider leaves the selection alone until it is asked to.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.desk import step_name
from app.numbers import NONE, clock, quantity
from app.selection import Looked
from app.theme import NOTE_PT, font
from app.views.along_chart import HEIGHT_PX, PassChart
from app.views.along_timeline import Instant, Phase, Timeline
from app.views.sheet_overlay import CutterMark

if TYPE_CHECKING:
    from app.desk import Desk

TICK_MS = 40
RATES = (1, 5, 20)
_ROOM_PX = 300 + HEIGHT_PX
"""The chart is left out where the sheet would become lower than this."""


class AlongPanel(QWidget):
    """The slider, what holds at its instant, and the chart of the pass."""

    moved = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._room = desk, parent
        self._timeline: Timeline | None = None
        self._over_time_of: int | None = None
        self.time_s = 0.0
        self.instant: Instant | None = None
        self._timer = QTimer(self, interval=TICK_MS)
        self._timer.timeout.connect(self._tick)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(3)
        row = QHBoxLayout()
        row.setSpacing(6)
        self.play = self._button("Play", "Play the cut")
        self.rate = self._button(f"\u00d7{RATES[1]}", "How many times faster than the machine")
        self.play.clicked.connect(self.toggle)
        self.rate.clicked.connect(self._next_rate)
        self._rate = RATES[1]
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setAccessibleName("Time of the plan")
        self.slider.setSingleStep(100)
        self.slider.setPageStep(5000)
        self.slider.valueChanged.connect(self._on_slid)
        self.clock = QLabel()
        self.clock.setFont(font(NOTE_PT))
        self.select = self._button("Select this place", "Select the pass and place of the cutter")
        self.select.clicked.connect(self._select)
        for widget in (self.play, self.rate):
            row.addWidget(widget)
        row.addWidget(self.slider, 1)
        row.addWidget(self.clock)
        row.addWidget(self.select)
        box.addLayout(row)
        self.words = QLabel()
        self.words.setFont(font(NOTE_PT))
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.words.setAccessibleName("At this instant")
        box.addWidget(self.words)
        self.chart = PassChart(desk, self)
        self.chart.picked.connect(self._on_picked)
        box.addWidget(self.chart)
        parent.installEventFilter(self)
        desk.document.changed.connect(self.load)
        desk.selection.changed.connect(self._on_selection)
        desk.units_changed.connect(self.refresh)
        desk.theme.changed.connect(self.chart.update)
        self.load()

    def _button(self, text: str, name: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setProperty("role", "choice")
        button.setFont(font(NOTE_PT))
        button.setAccessibleName(name)
        button.setToolTip(name)
        return button

    # the plan

    def load(self) -> None:
        """Take over the plan: its time is known at once, the rest when it is looked at."""
        self.stop()
        self._timeline = self._over_time_of = self.instant = None
        results = self._desk.results
        has_order = results is not None and bool(results.order.lines)
        self.setVisible(has_order)
        if results is not None and has_order:
            whole_ms = round(1000.0 * results.report.totals.cycle_time_s)
            self.slider.blockSignals(True)
            self.slider.setRange(0, whole_ms)
            self.slider.setValue(min(round(1000.0 * self.time_s), whole_ms))
            self.slider.blockSignals(False)
            self.time_s = self.slider.value() / 1000.0
            self._show_clock()
            self.chart.show_pass(None, None)
            self._show_chart()
            self.words.setText("Move the slider, or play, to watch the cutter along the plan.")
        self.moved.emit(None)

    def timeline(self) -> Timeline | None:
        """Return the plan over time, made when it is first looked at."""
        results = self._desk.results
        if self._timeline is None and results is not None and results.order.lines:
            self._timeline = Timeline(results)
        return self._timeline

    # moving

    def go(self, time_s: float) -> None:
        """Go to a time of the plan. [s]."""
        self.time_s = min(max(time_s, 0.0), self.slider.maximum() / 1000.0)
        self.slider.blockSignals(True)
        self.slider.setValue(round(1000.0 * self.time_s))
        self.slider.blockSignals(False)
        self.refresh()

    def toggle(self) -> None:
        """Play, or stop."""
        if self._timer.isActive():
            self.stop()
        elif self.timeline() is not None:
            if self.slider.value() >= self.slider.maximum():
                self.time_s = 0.0
            self._timer.start()
            self.play.setText("Stop")

    def stop(self) -> None:
        """Stop playing."""
        self._timer.stop()
        self.play.setText("Play")

    def _tick(self) -> None:
        self.go(self.time_s + self._rate * TICK_MS / 1000.0)
        if self.slider.value() >= self.slider.maximum():
            self.stop()

    def _next_rate(self) -> None:
        self._rate = RATES[(RATES.index(self._rate) + 1) % len(RATES)]
        self.rate.setText(f"\u00d7{self._rate}")

    def _on_slid(self, value_ms: int) -> None:
        self.time_s = value_ms / 1000.0
        self.refresh()

    def _on_picked(self, cut_s: float) -> None:
        timeline = self.timeline()
        if timeline is not None and self._over_time_of is not None:
            self.go(timeline.cut_begins_s(self._over_time_of) + cut_s)

    def _on_selection(self) -> None:
        """Go to the beginning of the pass that was selected, unless the cutter is in it."""
        contour, cut_pass = self._desk.contour(), self._desk.cut_pass()
        if not self.isVisible() or self.instant is None or contour is None or cut_pass is None:
            return
        timeline = self.timeline()
        place = next(i for i, one in enumerate(contour.passes) if one is cut_pass)
        index = contour.passes.indices[place]
        if timeline is None or timeline.lines[self.instant.line].pass_index == index:
            return
        sheet = timeline.lines[self.instant.line].sheet
        line = timeline.first_line_of(index, sheet)
        if line is not None:
            self.go(timeline.cut_begins_s(line))

    def _select(self) -> None:
        timeline, instant = self.timeline(), self.instant
        report = self._desk.report
        if timeline is None or instant is None or report is None:
            return
        row, place = timeline.places[timeline.lines[instant.line].pass_index]
        contour = report.contours[row]
        limit = self._desk.selection.now.limit
        where = (contour.drawing, contour.id)
        self._desk.selection.set(Looked(where, place, limit, instant.in_drawing_mm))

    # what is shown

    def refresh(self) -> None:
        """Show the instant: the cutter on the sheet, the words, the chart."""
        timeline = self.timeline()
        if timeline is None:
            return
        instant = self.instant = timeline.at(self.time_s)
        if self._over_time_of != instant.line:
            self._over_time_of = instant.line
            self.chart.show_pass(timeline.over_time(instant.line), self._softening_c(timeline))
        self.chart.set_cursor_s(instant.cut_s)
        self._show_chart()
        self._show_clock()
        self.words.setText(self._text(timeline, instant))
        self.words.setToolTip(self.words.text())
        line, path = timeline.lines[instant.line], timeline.path(instant.line)
        cutting = instant.phase is not Phase.BETWEEN
        diameter = path.mounted.diameter_mm
        self.moved.emit(CutterMark(line.sheet, instant.at_mm, diameter, cutting))

    def _show_chart(self) -> None:
        """Show the chart where there is a pass and room for it."""
        self.chart.setVisible(bool(self.chart.curves) and self._room.height() >= _ROOM_PX)

    def _show_clock(self) -> None:
        whole = self.slider.maximum() / 1000.0
        self.clock.setText(f"{clock(self.time_s)} of {clock(whole)}")

    def _softening_c(self, timeline: Timeline) -> float:
        return timeline.results.chosen.material.softening_temperature_c

    def _text(self, timeline: Timeline, instant: Instant) -> str:
        line, units = timeline.lines[instant.line], self._desk.units
        row, place = timeline.places[line.pass_index]
        contour = timeline.results.report.contours[row]
        step, sheets = step_name(contour, place), timeline.results.layout.sheets
        where = f"sheet {line.sheet + 1}, " if len(sheets) > 1 else ""
        parts = [
            f"{where}copy {line.copy + 1}, {contour.id} {contour.name}, {step}",
            instant.phase.value,
        ]
        if instant.phase is Phase.CUTTING:
            wall = quantity(instant.wall_c, "°C", units)
            parts += [
                f"speed {quantity(instant.speed_mm_min, 'mm/min', units)}",
                f"actual chip load {quantity(instant.feed_per_tooth_mm, 'mm', units)}",
                "wall not modelled" if wall == NONE else f"wall {wall}, modelled",
            ]
        return " \u00b7 ".join(parts)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Leave the chart out where there is no room for it."""
        if event.type() is QEvent.Type.Resize:
            self._show_chart()
        return super().eventFilter(watched, event)
