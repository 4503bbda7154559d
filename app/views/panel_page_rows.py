"""One feature of a panel as a card of fields, and the four corners as another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.theme import NOTE_PT, TEXT_PT, font
from app.views.panel_page_features import Asked, Feature, FeatureKind, Of
from app.views.panel_page_fields import (
    CountField,
    FaultLine,
    Labelled,
    LiveField,
    angle_field,
    length_field,
)
from core.drawing.panel import Corner, CornerCut, Edge

if TYPE_CHECKING:
    from core.units import UnitSystem

_COLUMNS = 4


def card(title: str, parent: QWidget) -> tuple[QVBoxLayout, QHBoxLayout]:
    """Dress a frame as a card with a head; return its box and the line of the head."""
    parent.setObjectName("card")
    box = QVBoxLayout(parent)
    box.setContentsMargins(12, 8, 12, 10)
    box.setSpacing(6)
    head = QHBoxLayout()
    label = QLabel(title)
    label.setFont(font(TEXT_PT, bold=True))
    head.addWidget(label)
    head.addStretch(1)
    box.addLayout(head)
    return box, head


class FeatureRow(QFrame):
    """The fields of one feature."""

    edited = Signal()
    removed = Signal(object)

    def __init__(self, kind: FeatureKind, number: int, system: UnitSystem) -> None:
        super().__init__()
        self.kind = kind
        self.name = f"{kind.title} {number}"
        self.fields: dict[str, LiveField] = {}
        self.edge = QComboBox()
        box, head = card(self.name, self)
        remove = QPushButton("Remove")
        remove.setProperty("role", "choice")
        remove.setFont(font(NOTE_PT))
        remove.setAccessibleName(f"remove {self.name}")
        remove.clicked.connect(self._remove)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        for place, asked in enumerate(kind.asked):
            field = self._field(asked, system)
            field.setAccessibleName(f"{self.name}, {asked.words}")
            grid.addWidget(Labelled(asked.words, field), place // _COLUMNS, place % _COLUMNS)
        for column in range(_COLUMNS):
            grid.setColumnStretch(column, 1)
        box.addLayout(grid)
        self.fault = FaultLine()
        box.addWidget(self.fault)
        head.addWidget(remove)
        self._typed = ""
        self._told = ""

    def _field(self, asked: Asked, system: UnitSystem) -> QWidget:
        if asked.of is Of.EDGE:
            self.edge.addItems([edge.value for edge in Edge])
            self.edge.currentIndexChanged.connect(self.edited)
            return self.edge
        if asked.of is Of.COUNT:
            field: LiveField = CountField(int(asked.begins), system)
        elif asked.of is Of.ANGLE:
            field = angle_field(asked.begins, system)
        else:
            field = length_field(asked.begins, system)
        field.setAlignment(Qt.AlignmentFlag.AlignRight)
        field.edited.connect(self.edited)
        field.faulted.connect(self._on_typed)
        self.fields[asked.key] = field
        return field

    def feature(self) -> Feature:
        """Return the feature as it is typed."""
        values: dict[str, Any] = {key: field.now() for key, field in self.fields.items()}
        for asked in self.kind.asked:
            if asked.of is Of.COUNT:
                values[asked.key] = int(values[asked.key])
        values["edge"] = self.edge.currentText()
        return self.kind.make(values, self.name)

    @property
    def is_read(self) -> bool:
        """Whether every field can be read."""
        return not any(field.fault for field in self.fields.values())

    def set_system(self, system: UnitSystem) -> None:
        """Show the fields in other units."""
        for field in self.fields.values():
            field.set_system(system)

    def tell(self, fault: str) -> None:
        """Show what keeps the panel from being made because of this feature."""
        self._told = fault
        self._say()

    def _on_typed(self, fault: str) -> None:
        self._typed = fault or next((f.fault for f in self.fields.values() if f.fault), "")
        self._say()

    def _say(self) -> None:
        self.fault.tell(self._typed or self._told)

    def _remove(self) -> None:
        self.removed.emit(self)


class CornersCard(QFrame):
    """What is taken off the corners: all four at once, or each its own."""

    edited = Signal()
    _FORMS = ("radius", "chamfer")

    def __init__(self, system: UnitSystem) -> None:
        super().__init__()
        box, _ = card("Corners", self)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        self.forms: dict[Corner, QComboBox] = {}
        self.fields: dict[Corner, LiveField] = {}
        self.every_form, self.every = self._pair("all four", system)
        grid.addWidget(Labelled("all four", self._line(self.every_form, self.every)), 0, 0, 1, 2)
        places = {
            Corner.TOP_LEFT: (1, 0),
            Corner.TOP_RIGHT: (1, 1),
            Corner.BOTTOM_LEFT: (2, 0),
            Corner.BOTTOM_RIGHT: (2, 1),
        }
        for corner, (row, column) in places.items():
            words = corner.value.replace("-", " ")
            form, field = self._pair(words, system)
            form.currentIndexChanged.connect(self.edited)
            field.edited.connect(self.edited)
            self.forms[corner], self.fields[corner] = form, field
            grid.addWidget(Labelled(words, self._line(form, field)), row, column)
        for field in (self.every, *self.fields.values()):
            field.faulted.connect(self._on_typed)
        self.every_form.currentIndexChanged.connect(self._on_every_form)
        self.every.edited.connect(self._on_every)
        box.addLayout(grid)
        self.fault = FaultLine()
        self._told = ""
        box.addWidget(self.fault)

    def tell(self, fault: str) -> None:
        """Show what keeps the panel from being made because of its corners."""
        self._told = fault
        self._on_typed("")

    def _on_typed(self, _fault: str) -> None:
        fields = (self.every, *self.fields.values())
        self.fault.tell(next((f.fault for f in fields if f.fault), "") or self._told)

    def _pair(self, words: str, system: UnitSystem) -> tuple[QComboBox, LiveField]:
        form = QComboBox()
        form.addItems(self._FORMS)
        form.setAccessibleName(f"form of the corner {words}")
        field = length_field(0.0, system)
        field.setAlignment(Qt.AlignmentFlag.AlignRight)
        field.setAccessibleName(f"size of the corner {words}")
        return form, field

    def _line(self, form: QComboBox, field: LiveField) -> QWidget:
        out = QWidget()
        row = QHBoxLayout(out)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(form)
        row.addWidget(field, 1)
        return out

    def _on_every_form(self, index: int) -> None:
        for form in self.forms.values():
            form.setCurrentIndex(index)

    def _on_every(self) -> None:
        for field in self.fields.values():
            field.restore()
            field.set_value(self.every.now())
        self.edited.emit()

    def cuts(self) -> tuple[CornerCut, CornerCut, CornerCut, CornerCut]:
        """Return the corners as they are typed, in the order of `Corner`."""
        bl, br, tr, tl = (
            CornerCut(
                self.fields[corner].now(),
                self.forms[corner].currentText() == "radius",
                f"Corner {corner.value}",
            )
            for corner in Corner
        )
        return bl, br, tr, tl

    @property
    def is_read(self) -> bool:
        """Whether every field can be read."""
        return not any(field.fault for field in (self.every, *self.fields.values()))

    def set_system(self, system: UnitSystem) -> None:
        """Show the fields in other units."""
        for field in (self.every, *self.fields.values()):
            field.set_system(system)
