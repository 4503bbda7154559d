"""A panel by numbers: a form, the panel to scale beside it, and what should be known about it."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeyEvent, QPainterPath, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.drawing_commands import with_named_panel
from app.numbers import in_units
from app.theme import ANSWER_PT, NOTE_PT, TEXT_PT, font
from app.views.panel_page_check import Looked, Notes, lit_rings, look, notes_on
from app.views.panel_page_form import PanelForm
from app.views.panel_page_preview import PanelPreview, rings_path
from app.views.panel_page_rows import FeatureRow
from app.worker import Worker
from core.drawing.panel_drawing import panel_drawing
from core.errors import WorkbenchError
from core.job.file import write_whole

if TYPE_CHECKING:
    from app.desk import Desk

_WAIT_MS, _NOTES_WAIT_MS = 40, 250
"""Keys that follow each other within this are looked at once, and noted on once. [ms]."""
_LEAST_FORM_PX, _FORM_PX, _NOTES_SHARE = 420, 470, 0.28
_IF_GUARD = "If this panel is to guard a machine:"


class PanelPage(QWidget):
    """Makes a panel without a drawing."""

    used = Signal()
    left = Signal()
    said = Signal(str)
    crashed = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._looked: Looked | None = None
        self._notes: Notes | None = None
        self.worker, self.noter = Worker(self), Worker(self)
        self.worker.answered.connect(self._on_looked)
        self.noter.answered.connect(self._on_notes)
        for worker in (self.worker, self.noter):
            worker.failed.connect(self._on_failed)
        self._wait = QTimer(self, singleShot=True, interval=_WAIT_MS)
        self._wait.timeout.connect(self._look)
        self._notes_wait = QTimer(self, singleShot=True, interval=_NOTES_WAIT_MS)
        self._notes_wait.timeout.connect(self._note)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        self.form = PanelForm(desk.units)
        self.form.edited.connect(self._on_edited)
        row.addWidget(self._scrolled(self.form), 1)
        right = QVBoxLayout()
        right.setSpacing(8)
        head = QLabel("A panel by numbers")
        head.setFont(font(ANSWER_PT, bold=True))
        right.addWidget(head)
        self.preview = PanelPreview(desk)
        right.addWidget(self.preview, 1)
        right.addWidget(self._notes_area())
        self.fault = QLabel()
        self.fault.setWordWrap(True)
        self.fault.setFont(font(TEXT_PT))
        self.fault.setAccessibleName("What keeps the panel from being made")
        right.addWidget(self.fault)
        right.addLayout(self._buttons())
        row.addLayout(right, 1)
        desk.units_changed.connect(self._on_units)
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._on_focus)
        self._look()

    def _scrolled(self, form: QWidget) -> QScrollArea:
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setWidget(form)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setMinimumWidth(_LEAST_FORM_PX)
        self.area.setMaximumWidth(_FORM_PX)
        return self.area

    def _notes_area(self) -> QScrollArea:
        self.notes = QLabel()
        self.notes.setWordWrap(True)
        self.notes.setFont(font(NOTE_PT))
        self.notes.setTextFormat(Qt.TextFormat.PlainText)
        self.notes.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.notes.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.notes.setAccessibleName("Notes about the panel")
        out = QScrollArea()
        out.setWidgetResizable(True)
        out.setFrameShape(QFrame.Shape.NoFrame)
        out.setWidget(self.notes)
        out.hide()
        self._notes_box = out
        return out

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.use = QPushButton("Use this panel")
        self.use.setToolTip("It becomes the drawing of the job, as one undo step (Ctrl+Return)")
        self.save = QPushButton("Save as DXF\u2026")
        self.back = QPushButton("Back")
        self.back.setToolTip("What is typed here stays (Escape)")
        slots = ((self.use, self.use_panel), (self.save, self.save_dxf), (self.back, self.leave))
        for button, slot in slots:
            button.setProperty("role", "plain")
            button.clicked.connect(slot)
            row.addWidget(button)
        row.addStretch(1)
        return row

    def begin(self) -> None:
        """Give the focus to the first field; the panel may lie in another material by now."""
        self.form.width_mm.setFocus(Qt.FocusReason.OtherFocusReason)
        self.form.width_mm.selectAll()
        self._look()

    # looking at it

    def _on_edited(self) -> None:
        self.use.setEnabled(False)
        self._wait.start()

    def _look(self) -> None:
        self._wait.stop()
        self._notes_wait.stop()
        self.noter.cancel()
        self.worker.start(partial(look, self.form.panel()))

    @Slot(object)
    def _on_looked(self, answer: object) -> None:
        assert isinstance(answer, Looked)
        self._looked = answer
        left = self.form.tell(answer.faults)
        self._tell(left[0] if left else "")
        self.preview.show_panel(answer)
        self._light(QApplication.focusWidget())
        can = not answer.faults and self.form.is_read
        self.use.setEnabled(can)
        self.save.setEnabled(can)
        if answer.faults:
            self._on_notes(Notes((), ()))
        else:
            self._notes_wait.start()

    def _note(self) -> None:
        if self._looked is None:
            return
        try:
            material = self._desk.shelf().material(self._desk.document.job.material)
        except WorkbenchError as error:
            self._tell(str(error))
            return
        self.noter.start(partial(notes_on, self._looked.panel, material))

    @Slot(object)
    def _on_notes(self, answer: object) -> None:
        assert isinstance(answer, Notes)
        self._notes = answer
        self._say_notes()

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        if isinstance(error, WorkbenchError):
            self._tell(str(error))
        else:
            self.crashed.emit(error)

    def _tell(self, fault: str) -> None:
        """Say a fault that names no field, else the first of those that stand at theirs."""
        fault = fault or self.form.first_fault()
        self.fault.setText(f"Not yet: {fault}" if fault else "")
        self.fault.setVisible(bool(fault))

    def _say_notes(self) -> None:
        notes = self._notes or Notes((), ())
        lines = [f"\u2022 {note}" for note in notes.fitting]
        if notes.guard:
            lines += [_IF_GUARD, *(f"\u2022 {note}" for note in notes.guard)]
        text = "\n".join(in_units(line, self._desk.units) for line in lines)
        self.notes.setText(text)
        self._notes_box.setVisible(bool(text))
        self._fit_notes()

    def _fit_notes(self) -> None:
        """Give the notes what they need, up to a share of the page; more of them scrolls."""
        wanted = self.notes.heightForWidth(self._notes_box.viewport().width())
        self._notes_box.setFixedHeight(min(wanted + 4, round(_NOTES_SHARE * self.height())))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Share the room anew."""
        super().resizeEvent(event)
        self._fit_notes()

    def _on_units(self) -> None:
        self.form.set_system(self._desk.units)
        self._say_notes()

    def finish(self) -> None:
        """Stop what is worked out: the window closes."""
        self.worker.close()
        self.noter.close()

    def _on_focus(self, _old: QWidget | None, new: QWidget | None) -> None:
        if new is not None and self.isAncestorOf(new):
            self._light(new)
            if self.form.isAncestorOf(new):
                self.area.ensureWidgetVisible(new, 0, 60)

    def _light(self, widget: QWidget | None) -> None:
        """Make the feature whose fields have the focus stand out in the picture."""
        while widget is not None and not isinstance(widget, FeatureRow):
            widget = widget.parentWidget()
        path: QPainterPath | None = None
        if widget in self.form.rows and isinstance(widget, FeatureRow) and self._looked:
            path = rings_path(lit_rings(self._looked.panel.size_mm, widget.feature()))
        self.preview.light(path)

    # what is done with it

    @property
    def name(self) -> str:
        """The name of the panel and of its file."""
        kept = "".join(
            c for c in self.form.name.text() if c.isprintable() and c not in '/\\:*?"<>|'
        )
        return kept.strip(" .") or "panel"

    def use_panel(self) -> None:
        """Make it the drawing of the job, as one undo step; a fault is said instead."""
        if not self.form.is_read:
            return
        panel = self.form.panel()
        change = partial(with_named_panel, panel=panel, name=self.name)
        try:
            self._desk.document.edit(f"panel by numbers: {self.name}", change)
        except WorkbenchError as error:
            self._tell(str(error))
            return
        self._desk.selection.clear()
        self.used.emit()

    def save_dxf(self) -> None:
        """Ask for a file and save the panel as a drawing."""
        folder = Path(self._desk.settings["folder"])
        name, _ = QFileDialog.getSaveFileName(
            self, "Save the panel", str(folder / f"{self.name}.dxf"), "Drawings (*.dxf)"
        )
        if not name:
            return
        path = Path(name) if Path(name).suffix else Path(f"{name}.dxf")
        try:
            write_whole(path, panel_drawing(self.form.panel(), path.name).content)
        except WorkbenchError as error:
            self._tell(str(error))
            return
        self._desk.settings["folder"] = str(path.parent)
        self.said.emit(f"{path.name} \u00b7 saved")

    def leave(self) -> None:
        """Go back to where the page was opened from."""
        self.left.emit()

    # keys

    def event(self, event: QEvent) -> bool:
        """Keep Escape and Ctrl+Return for this page."""
        is_override = event.type() is QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and _is_own(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape goes back, Ctrl+Return uses the panel."""
        if not _is_own(event):
            super().keyPressEvent(event)
        elif event.key() == Qt.Key.Key_Escape:
            self.leave()
        else:
            self.use_panel()


def _is_own(event: QKeyEvent) -> bool:
    is_control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
    is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
    return event.key() == Qt.Key.Key_Escape or (is_control and is_enter)
