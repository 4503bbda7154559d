"""Explore a straight slot without a drawing: choices, the map, and why a setting works or not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.fields import BY_KEY, options, with_value
from app.numbers import quantity, tidy
from app.theme import ANSWER_PT, NOTE_PT, TEXT_PT, font
from app.views.map_card import LEGEND
from app.views.map_slot import LEAST_LOAD_MM, AtSetting, Slot, SlotMap, slot_map
from app.views.map_view import LOAD_STEP_MM, SPEED_STEP_RPM, MapView, Mark
from app.views.remedies_words import headline
from app.widgets.quantity_field import QuantityField
from core.errors import WorkbenchError

if TYPE_CHECKING:
    from app.desk import Desk

CHOICES = ("material", "rough_cutter", "machine", "air")
_SHOWN = 6
_LEFT_PX = 340


class SlotPage(QFrame):
    """Lies over the window's page; nothing in it changes the job."""

    def __init__(self, desk: Desk, over: QWidget) -> None:
        super().__init__(over)
        self.setObjectName("drawer")
        self.setAutoFillBackground(True)
        self.setAccessibleName("A straight slot")
        self._desk, self._over = desk, over
        job = replace(desk.document.job, drawings=())
        self.slot = Slot(job, job.thickness_mm)
        self.found: SlotMap | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 10, 16, 10)
        row.setSpacing(14)
        row.addLayout(self._left())
        row.addLayout(self._right(), 1)
        over.installEventFilter(self)
        desk.units_changed.connect(self._on_units)
        desk.theme.changed.connect(self.map.update)
        self.hide()

    def _left(self) -> QVBoxLayout:
        box = QVBoxLayout()
        box.setSpacing(8)
        title = QLabel("A straight slot, no drawing needed")
        title.setFont(font(ANSWER_PT, bold=True))
        title.setWordWrap(True)
        box.addWidget(title)
        form = QGridLayout()
        form.setColumnStretch(1, 1)
        self.choices = {key: self._choice(form, row, key) for row, key in enumerate(CHOICES)}
        self.fields: dict[str, QuantityField] = {}
        row = len(CHOICES)
        for key, label, unit, value, low, high, step in (
            ("thickness_mm", "sheet thickness", "mm", self.slot.job.thickness_mm, 0.2, 60.0, 0.5),
            ("depth_mm", "depth of the cut", "mm", self.slot.depth_mm, 0.05, 60.0, 0.5),
            ("width_mm", "width of the cut", "mm", 60.0, 0.05, 60.0, 0.5),
            ("rpm", "spindle speed", "rpm", 18_000.0, 500.0, 60_000.0, SPEED_STEP_RPM),
            ("load_mm", "chip load", "mm", 0.1, LEAST_LOAD_MM, 2.0, LOAD_STEP_MM),
        ):
            field = QuantityField(
                unit, value, low=low, high=high, step=step, system=self._desk.units
            )
            field.setAccessibleName(f"slot {label}")
            field.setAlignment(Qt.AlignmentFlag.AlignRight)
            field.committed.connect(self._on_field)
            form.addWidget(_label(label, field), row, 0)
            form.addWidget(field, row, 1)
            self.fields[key] = field
            row += 1
        box.addLayout(form)
        self.told = QLabel()
        self.told.setFont(font(NOTE_PT))
        self.told.setWordWrap(True)
        self.told.setFixedWidth(_LEFT_PX)
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.addWidget(self.told)
        box.addStretch(1)
        self.house = QPushButton("Cross to the house rule\u2019s setting")
        self.leave = QPushButton("Back    Esc")
        for button in (self.house, self.leave):
            button.setProperty("role", "plain")
            box.addWidget(button)
        self.house.clicked.connect(self._to_house)
        self.leave.clicked.connect(self.hide)
        return box

    def _choice(self, form: QGridLayout, row: int, key: str) -> QComboBox:
        field, box = BY_KEY[key], QComboBox()
        box.setAccessibleName(f"slot {field.label}")
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for option in options(self._desk.shelf(), field, self.slot.job):
            box.addItem(option.name, option.key)
            box.setItemData(box.count() - 1, option.note, Qt.ItemDataRole.ToolTipRole)
        box.setCurrentIndex(box.findData(str(getattr(self.slot.job, key))))
        box.currentIndexChanged.connect(self._on_choice)
        label = "cutter" if key == "rough_cutter" else field.label
        form.addWidget(_label(label, box), row, 0)
        form.addWidget(box, row, 1)
        return box

    def _right(self) -> QVBoxLayout:
        box = QVBoxLayout()
        box.setSpacing(6)
        self.map = MapView(self._desk, self)
        self.map.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.map.moved.connect(self._on_moved)
        self.map.hovered.connect(self._on_hovered)
        box.addWidget(self.map, 1)
        self.words = QLabel()
        self.words.setFont(font(TEXT_PT, bold=True))
        self.words.setAccessibleName("What the map says at the cross")
        box.addWidget(self.words)
        self.limits = QLabel()
        self.limits.setFont(font(NOTE_PT))
        self.limits.setTextFormat(Qt.TextFormat.RichText)
        self.limits.setAccessibleName("Limits at the cross")
        self.limits.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.addWidget(self.limits)
        legend = QLabel(LEGEND.replace("\u25cf plan, + trial", "\u25cf house rule, + yours"))
        legend.setFont(font(NOTE_PT))
        legend.setProperty("role", "muted")
        legend.setWordWrap(True)
        box.addWidget(legend)
        return box

    def begin(self) -> None:
        """Come into view, with the cross where the house rule puts it the first time."""
        self._fit()
        self.show()
        self.raise_()
        if self.found is None:
            self._compute()
            self._to_house()
        self.map.setFocus(Qt.FocusReason.PopupFocusReason)

    # what the user does

    def _on_choice(self, _index: int) -> None:
        box = self.sender()
        key = next(key for key, one in self.choices.items() if one is box)
        job = with_value(self.slot.job, key, self.choices[key].currentData())
        self.slot = replace(self.slot, job=job)
        self._compute()

    def _on_field(self, _value: float) -> None:
        fields = self.fields
        job = replace(self.slot.job, thickness_mm=fields["thickness_mm"].value)
        depth, width = fields["depth_mm"].value, fields["width_mm"].value
        slot = Slot(job, min(depth, job.thickness_mm), width)
        if slot != self.slot:
            self.slot = slot
            self._compute()
        else:
            self.refresh()

    def _on_moved(self, rpm: float, load_mm: float) -> None:
        self.fields["rpm"].set_value(rpm)
        self.fields["load_mm"].set_value(load_mm)
        self.refresh()

    def _to_house(self) -> None:
        if self.found is not None:
            self._on_moved(self.found.house_rpm, self.found.house_load_mm)

    def _on_hovered(self, words: str) -> None:
        cross = self.map.cross
        here = self.map.words(cross.rpm, cross.load_mm) if cross is not None else ""
        self.words.setText(words or here)

    def _on_units(self) -> None:
        for field in self.fields.values():
            field.set_system(self._desk.units)
        self.refresh()

    # what is shown

    def _compute(self) -> None:
        """Make the map of the slot, or say why there is none."""
        try:
            self.found = slot_map(self.slot, self._desk.shelf())
        except WorkbenchError as error:
            self.found = None
            self.map.show_map(None, None, None)
            self.words.setText(str(error))
            self.limits.clear()
            return
        diameter = self.found.cut.mounted.diameter_mm
        self.fields["depth_mm"].set_value(self.slot.depth_mm)
        self.fields["width_mm"].set_value(min(self.slot.width_mm or diameter, diameter))
        self.refresh()

    def refresh(self) -> None:
        """Show the map with its marks, and the limits at the cross."""
        if self.found is None:
            return
        found, rpm, load = self.found, self.fields["rpm"].value, self.fields["load_mm"].value
        plan = Mark("", found.house_rpm, found.house_load_mm)
        self.map.show_map(found.settings, plan, Mark("", rpm, load))
        self.words.setText(self.map.words(rpm, load))
        at = found.at(rpm, load)
        self.limits.setText(self._table(at))
        units, worst = self._desk.units, at[0]
        feed = quantity(found.feed_mm_min(rpm, load), "mm/min", units)
        turning = quantity(found.cutting_speed_m_min(rpm), "m/min", units)
        word = "It is outside" if worst.margin < 0.0 else "What comes nearest"
        self.told.setText(
            f"Feed v_f = n z f_z = {feed}; the edge runs at {turning}.\n\n"
            f"{word}: {worst.label}. {headline(worst.name, worst.label)}"
        )

    def _table(self, at: tuple[AtSetting, ...]) -> str:
        muted = self._desk.theme.palette.muted
        heads = ("limit", "margin", "1 % more spindle speed", "1 % more chip load")
        head = "".join(
            f'<td style="color:{muted}"{" align=right" if index else ""}>{word}&nbsp;&nbsp;</td>'
            for index, word in enumerate(heads)
        )
        rows = [f"<tr>{head}</tr>"]
        for one in at[:_SHOWN]:
            cells = (one.margin, one.per_speed, one.per_load)
            shown = [f"{100.0 * cells[0]:+.0f} %", *(f"{100.0 * c:+.2f} %" for c in cells[1:])]
            numbers = "".join(f'<td align="right">{tidy(c)}&nbsp;&nbsp;</td>' for c in shown)
            state = "<b>" if one.margin < 0.0 else ""
            rows.append(f"<tr><td>{state}{one.label}&nbsp;&nbsp;</td>{numbers}</tr>")
        return f'<table cellspacing="0" cellpadding="2">{"".join(rows)}</table>'

    # where it lies

    def _fit(self) -> None:
        self.setGeometry(self._over.rect())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Keep covering the page."""
        if event.type() is QEvent.Type.Resize:
            self._fit()
        return super().eventFilter(watched, event)

    def event(self, event: QEvent) -> bool:
        """Keep Escape for this page while it is open."""
        is_override = event.type() is QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Leave with Escape."""
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)


def _label(text: str, buddy: QWidget) -> QLabel:
    label = QLabel(text[:1].upper() + text[1:])
    label.setFont(font(TEXT_PT))
    label.setBuddy(buddy)
    return label
