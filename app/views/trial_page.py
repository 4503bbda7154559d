"""The column for the third question: levers, and what follows beside the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.desk import find_contour, pass_of
from app.numbers import NONE, amount, clock, shown_unit, signed, tidy
from app.theme import NOTE_PT, TEXT_PT, font
from app.trial import LEVERS
from app.views.map_card import MapCard
from app.views.map_faster import FasterCard
from app.views.map_trials import KeptCard, KeptTrials
from app.widgets.quantity_field import QuantityField

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtGui import QShowEvent

    from app.desk import Desk
    from app.fields import Field
    from app.trial import Trial
    from app.views.remedies_advisor import Advisor
    from core.report.records import PassReport, Report

_STEPS = 200
_RANGES = {
    "spindle_speed_rpm": (6000.0, 30000.0),
    "feed_per_tooth_mm": (0.02, 0.60),
    "wall_stock_mm": (0.0, 2.0),
    "floor_stock_mm": (0.0, 2.0),
}


class Lever(QWidget):
    """A slider with a quantity field; both set one value of the trial."""

    def __init__(self, field: Field, desk: Desk, trial: Trial, parent: QWidget) -> None:
        super().__init__(parent)
        self.field, self._desk, self._trial = field, desk, trial
        self._low, self._high = _RANGES[field.key]
        row = QGridLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setVerticalSpacing(2)
        label = QLabel(field.label[:1].upper() + field.label[1:])
        label.setFont(font(TEXT_PT))
        row.addWidget(label, 0, 0)
        self.quantity = QuantityField(
            field.unit,
            self._low,
            low=field.low,
            high=field.high,
            step=field.step,
            system=desk.units,
        )
        self.quantity.setAccessibleName(f"trial {field.label}")
        self.quantity.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.quantity.setFixedWidth(120)
        self.quantity.committed.connect(self._on_typed)
        label.setBuddy(self.quantity)
        row.addWidget(self.quantity, 0, 1)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, _STEPS)
        self.slider.setPageStep(10)
        self.slider.setAccessibleName(f"trial {field.label}, slider")
        self.slider.valueChanged.connect(self._on_slid)
        row.addWidget(self.slider, 1, 0, 1, 2)

    def show_value(self, value: float) -> None:
        """Show a value without moving the lever."""
        self.quantity.set_system(self._desk.units)
        self.quantity.set_value(value)
        share = (value - self._low) / (self._high - self._low)
        self.slider.blockSignals(True)
        self.slider.setValue(round(min(max(share, 0.0), 1.0) * _STEPS))
        self.slider.blockSignals(False)

    def _on_typed(self, value: float) -> None:
        self._trial.move(self.field.key, value)

    def _on_slid(self, steps: int) -> None:
        value = self._low + (self._high - self._low) * steps / _STEPS
        digits = 0 if self.field.unit == "rpm" else 3
        self._trial.move(self.field.key, round(value, digits))


class TrialPage(QWidget):
    """Levers, the table of plan and trial, and what to do with it."""

    def __init__(
        self, desk: Desk, trial: Trial, advisor: Advisor, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._desk, self._trial = desk, trial
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 6, 6)
        box.setSpacing(8)
        self.map_card = MapCard(desk, trial, self)
        box.addWidget(self.map_card)
        self.kept = KeptTrials(desk, trial)
        self.kept_card = KeptCard(desk, self.kept, trial_rows, self)
        card = QFrame()
        card.setObjectName("card")
        inner = QVBoxLayout(card)
        inner.setContentsMargins(12, 8, 12, 10)
        inner.setSpacing(10)
        self.levers = {field.key: Lever(field, desk, trial, self) for field in LEVERS}
        for lever in self.levers.values():
            inner.addWidget(lever)
        box.addWidget(card)
        box.addWidget(self._table_card())
        box.addWidget(self.kept_card)
        self.faster = FasterCard(desk, advisor, self)
        box.addWidget(self.faster)
        box.addStretch(1)
        desk.document.changed.connect(self.refresh)
        desk.selection.changed.connect(self.refresh)
        desk.units_changed.connect(self.refresh)
        trial.changed.connect(self.refresh)
        self.kept.changed.connect(self.refresh)

    def _table_card(self) -> QFrame:
        card = QFrame()
        card.setObjectName("card")
        inner = QVBoxLayout(card)
        inner.setContentsMargins(12, 8, 12, 10)
        self.of_what = QLabel()
        self.of_what.setWordWrap(True)
        self.of_what.setFont(font(NOTE_PT))
        self.of_what.setProperty("role", "muted")
        inner.addWidget(self.of_what)
        self.table = QLabel()
        self.table.setTextFormat(Qt.TextFormat.RichText)
        self.table.setFont(font(NOTE_PT))
        self.table.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.table.setAccessibleName("Plan, trial and change")
        self.table.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        inner.addWidget(self.table)
        self.adopt = QPushButton("Adopt the trial    Ctrl+Enter")
        self.drop = QPushButton("Drop it    Esc")
        self.keep = QPushButton("Keep it to compare")
        self.keep.clicked.connect(self.kept.keep)
        for button in (self.adopt, self.keep, self.drop):
            button.setProperty("role", "plain")
            inner.addWidget(button)
        self.adopt.clicked.connect(self._trial.adopt)
        self.drop.clicked.connect(self._trial.drop)
        return card

    def refresh(self) -> None:
        """Show the levers and the numbers that hold now."""
        if not self.isVisible():
            return
        report = self._desk.report
        self.setEnabled(report is not None)
        plan = self._pass_in(report)
        for key, lever in self.levers.items():
            value = self._trial.changes.get(key)
            if value is None:
                value = _planned(report, plan, key)
            if value is not None:
                lever.show_value(value)
        self.adopt.setEnabled(self._trial.is_open and self._trial.report is not None)
        self.drop.setEnabled(self._trial.is_open)
        self.keep.setEnabled(self.kept.can_keep)
        self.map_card.kept = self.kept.marks()
        self.map_card.refresh()
        self.kept_card.refresh()
        contour = self._desk.contour()
        where = (
            "Pick a pass to compare it."
            if contour is None or plan is None
            else (f"Of {contour.id} {contour.name}, {plan.step}; time and price of the whole job.")
        )
        self.of_what.setText(where)
        self.table.setText(self._html(report, plan))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Bring the page up to date when it comes into view."""
        super().showEvent(event)
        self.refresh()

    def _pass_in(self, report: Report | None) -> PassReport | None:
        contour = find_contour(report, self._desk.selection.now)
        return None if contour is None else pass_of(contour, self._desk.selection.now)

    def _html(self, report: Report | None, plan: PassReport | None) -> str:
        trial = self._trial.report
        tried = self._pass_in(trial)
        head = "".join(
            f'<td align="right" style="color:{self._desk.theme.palette.muted}">{word}</td>'
            for word in ("plan", "trial", "change")
        )
        rows = [f"<tr><td></td>{head}</tr>"]
        for name, unit, values in trial_rows(report, trial, plan, tried):
            rows.append(self._row(name, unit, *values))
        return f'<table cellspacing="0" cellpadding="3" width="100%">{"".join(rows)}</table>'

    def _row(self, name: str, unit: str, plan: float | None, trial: float | None) -> str:
        units = self._desk.units
        change = None if plan is None or trial is None else trial - plan
        if unit == "money":
            cells = [NONE if v is None else f"{v:.2f}" for v in (plan, trial)]
            cells.append(NONE if change is None else tidy(f"{change:+.2f}"))
        elif unit == "time":
            cells = [NONE if v is None else clock(v) for v in (plan, trial)]
            sign = "\u2212" if (change or 0.0) < 0 else "+"
            cells.append(NONE if change is None else f"{sign}{clock(abs(change))}")
        else:
            cells = [amount(v, unit, units) for v in (plan, trial)]
            cells.append(signed(change, unit, units).removesuffix(shown_unit(unit, units)))
            name = f"{name} {shown_unit(unit, units)}"
        shown = "".join(f'<td align="right">&nbsp;{cell}</td>' for cell in cells)
        return f"<tr><td>{name}</td>{shown}</tr>"


def _planned(report: Report | None, plan: PassReport | None, key: str) -> float | None:
    """Return where a lever stands in the plan."""
    if plan is None:
        return None
    if key in ("spindle_speed_rpm", "feed_per_tooth_mm"):
        return float(getattr(plan, key))
    contours = report.contours if report is not None else ()
    first = next((c.passes[0] for c in contours if c.passes), plan)
    return float(getattr(first, key))


Row = tuple[str, str, tuple[float | None, float | None]]


def trial_rows(
    report: Report | None,
    trial: Report | None,
    plan: PassReport | None,
    tried: PassReport | None,
) -> list[Row]:
    """Return the rows of the table: name, unit, value of the plan and of the trial."""
    of_pass: tuple[tuple[str, str, Callable[[PassReport], float | None]], ...] = (
        ("Spindle speed", "rpm", lambda p: p.spindle_speed_rpm),
        ("Feed", "mm/min", lambda p: p.feed_speed_mm_min),
        ("Actual chip load 5 %,", "mm", lambda p: p.feed_per_tooth_reached_mm.p5),
        ("Actual chip load mean,", "mm", lambda p: p.feed_per_tooth_reached_mm.mean),
        ("Heat margin", "K", lambda p: p.heat_margin_k.nominal if p.heat_margin_k else None),
    )
    rows: list[Row] = [
        (name, unit, (of(plan) if plan else None, of(tried) if tried else None))
        for name, unit, of in of_pass
    ]
    of_job: tuple[tuple[str, str, Callable[[Report], float | None]], ...] = (
        ("Cycle time min:s", "time", lambda r: r.totals.cycle_time_s),
        (
            "Price a part, not nested",
            "money",
            lambda r: float(r.price.per_part) if r.price else None,
        ),
        ("Limits outside", "", lambda r: float(r.answer.outside)),
        ("Limits tight", "", lambda r: float(r.answer.tight)),
    )
    rows += [
        (name, unit, (of(report) if report else None, of(trial) if trial else None))
        for name, unit, of in of_job
    ]
    return rows
