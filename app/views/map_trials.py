"""Trials kept side by side: each a column beside the plan, to be taken up again or dropped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.desk import find_contour, pass_of
from app.numbers import NONE, amount, clock, shown_unit
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.map_view import Mark

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk import Desk
    from app.trial import Trial
    from core.job.job import Job
    from core.report.records import PassReport, Report

    Row = tuple[str, str, tuple[float | None, float | None]]
    Rows = Callable[[Report | None, Report | None, PassReport | None, PassReport | None], list[Row]]

LETTERS = "ABC"


@dataclass(frozen=True, eq=False, slots=True)
class Kept:
    """A trial that was kept: what was moved, what followed, and the plan that it was tried on."""

    letter: str
    words: str
    changes: dict[str, float]
    report: Report
    job: Job


class KeptTrials(QObject):
    """The trials that are kept; at most three, so that their columns can be read."""

    changed = Signal()

    def __init__(self, desk: Desk, trial: Trial) -> None:
        super().__init__(desk)
        self._desk, self._trial = desk, trial
        self.all: tuple[Kept, ...] = ()
        desk.document.undo_stack.indexChanged.connect(self._on_index)

    @property
    def can_keep(self) -> bool:
        """Whether the open trial is planned and there is a letter left for it."""
        return (
            self._trial.report is not None
            and not self._trial.worker.is_busy
            and len(self.all) < len(LETTERS)
        )

    def keep(self) -> None:
        """Keep the open trial."""
        report = self._trial.report
        if not self.can_keep or report is None:
            return
        letter = next(one for one in LETTERS if one not in [kept.letter for kept in self.all])
        job = self._desk.document.job
        kept = Kept(letter, self._trial.words(), dict(self._trial.changes), report, job)
        self.all = tuple(sorted((*self.all, kept), key=lambda one: one.letter))
        self.changed.emit()

    def take_up(self, letter: str) -> None:
        """Open a kept trial again."""
        kept = next(one for one in self.all if one.letter == letter)
        self._trial.changes.clear()
        self._trial.move_all(kept.changes)

    def drop(self, letter: str) -> None:
        """Keep a trial no longer."""
        self.all = tuple(one for one in self.all if one.letter != letter)
        self.changed.emit()

    def is_old(self, kept: Kept) -> bool:
        """Whether a trial was tried on another plan than the present one."""
        return kept.job != self._desk.document.job

    def marks(self) -> tuple[Mark, ...]:
        """Return where the kept trials stand on the map of the selected pass."""
        marks = []
        for kept in self.all:
            tried = passes_at(kept.report, self._desk)
            if tried is not None:
                marks.append(Mark(kept.letter, tried.spindle_speed_rpm, tried.feed_per_tooth_mm))
        return tuple(marks)

    def _on_index(self) -> None:
        if self._desk.document.is_empty and self.all:
            self.all = ()
        self.changed.emit()


def passes_at(report: Report | None, desk: Desk) -> PassReport | None:
    """Return the selected pass in another report than the plan's."""
    contour = find_contour(report, desk.selection.now)
    return None if contour is None else pass_of(contour, desk.selection.now)


class KeptCard(QFrame):
    """The columns of the kept trials beside the plan."""

    def __init__(self, desk: Desk, kept: KeptTrials, rows: Rows, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk, self._kept, self._rows = desk, kept, rows
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        self.title = QLabel("Trials side by side")
        self.title.setFont(font(TEXT_PT, bold=True))
        box.addWidget(self.title)
        self.table = QLabel()
        self.table.setTextFormat(Qt.TextFormat.RichText)
        self.table.setFont(font(NOTE_PT))
        self.table.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.table.setAccessibleName("Plan and kept trials")
        self.table.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.addWidget(self.table)
        self.note = QLabel("* tried on an earlier plan; taking it up computes it on this one")
        self.note.setFont(font(NOTE_PT))
        self.note.setProperty("role", "muted")
        self.note.setWordWrap(True)
        box.addWidget(self.note)
        self._grid = QGridLayout()
        box.addLayout(self._grid)
        self.buttons: dict[str, tuple[QPushButton, QPushButton]] = {}
        kept.changed.connect(self.refresh)
        self.hide()

    def refresh(self) -> None:
        """Write the columns and their buttons anew."""
        self.setVisible(bool(self._kept.all))
        if [*self.buttons] != [one.letter for one in self._kept.all]:
            self._make_buttons()
        self.note.setVisible(any(map(self._kept.is_old, self._kept.all)))
        self.table.setText(self._html())

    def _make_buttons(self) -> None:
        for pair in self.buttons.values():
            for button in pair:
                self._grid.removeWidget(button)
                button.hide()
                button.deleteLater()
        self.buttons = {}
        for row, kept in enumerate(self._kept.all):
            take = self._button(f"Take up {kept.letter}", f"Take up {kept.letter}: {kept.words}")
            drop = self._button("Drop", f"Drop {kept.letter}")
            take.clicked.connect(self._take_up)
            drop.clicked.connect(self._drop)
            self._grid.addWidget(take, row, 0)
            self._grid.addWidget(drop, row, 1)
            self.buttons[kept.letter] = take, drop
        self._grid.setColumnStretch(0, 1)

    def _button(self, text: str, name: str) -> QPushButton:
        button = QPushButton(text, self)
        button.setProperty("role", "plain")
        button.setToolTip(name)
        button.setAccessibleName(name)
        return button

    def _letter(self) -> str:
        return next(letter for letter, pair in self.buttons.items() if self.sender() in pair)

    def _take_up(self) -> None:
        self._kept.take_up(self._letter())

    def _drop(self) -> None:
        self._kept.drop(self._letter())

    def _html(self) -> str:
        report, plan = self._desk.report, self._desk.cut_pass()
        columns = [
            self._rows(report, kept.report, plan, passes_at(kept.report, self._desk))
            for kept in self._kept.all
        ]
        muted = self._desk.theme.palette.muted
        heads = ["plan"]
        heads += [f"{k.letter}{'*' if self._kept.is_old(k) else ''}" for k in self._kept.all]
        head = "".join(f'<td align="right" style="color:{muted}">{word}</td>' for word in heads)
        lines = [f"<tr><td></td>{head}</tr>"]
        for index in range(len(columns[0]) if columns else 0):
            name, unit, (planned, _) = columns[0][index]
            values = [planned, *(column[index][2][1] for column in columns)]
            cells = "".join(
                f'<td align="right">&nbsp;{self._cell(value, unit)}</td>' for value in values
            )
            lines.append(f"<tr><td>{self._name(name, unit)}</td>{cells}</tr>")
        return f'<table cellspacing="0" cellpadding="3" width="100%">{"".join(lines)}</table>'

    def _name(self, name: str, unit: str) -> str:
        shown = "" if unit in ("money", "time") else shown_unit(unit, self._desk.units)
        return f"{name} {shown}".strip()

    def _cell(self, value: float | None, unit: str) -> str:
        if value is None:
            return NONE
        if unit == "money":
            return f"{value:.2f}"
        return clock(value) if unit == "time" else amount(value, unit, self._desk.units)
