"""The layers of a drawing with a switch each, and what a layer rule makes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHeaderView,
    QLabel,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.theme import NOTE_PT, TEXT_PT, font
from app.widgets.tick_box import TickBoxes
from core.contours.layer_rules import WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.desk import Desk
    from core.job.job import DrawingFile
    from core.library.layer_rules import LayerRules
    from core.report.records import LayerReport

_ROW_PX, _MOST_ROWS = 24, 8
_NAME = Qt.ItemDataRole.UserRole


def effect(layer: LayerReport, file: DrawingFile, rules: LayerRules) -> str:
    """Return what becomes of a layer, and who says so."""
    if layer.frozen:
        return "hidden in the drawing"
    rule = rules.rule_for(layer.name)
    if layer.left_out:
        by_hand = layer.name.casefold() in {name.casefold() for name in file.layers_left_out}
        return "left out by you" if by_hand else "left out by the layer rules"
    if rule is not None and rule.leave_out:
        return "kept by you"
    if rule is not None and rule.task is not None:
        return f"{WORDS.get(rule.task, rule.task.value)} by the layer rules"
    return "as its shapes say"


class LayersCard(QFrame):
    """A list of layers; the box before a name says whether it is read."""

    switched = Signal(str, bool)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk = desk
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        self.title = QLabel("Layers")
        self.title.setFont(font(TEXT_PT, bold=True))
        box.addWidget(self.title)
        self.list = QTreeWidget()
        self.list.setColumnCount(3)
        self.list.setHeaderLabels(["Layer", "Entities", "What is done"])
        self.list.setRootIsDecorated(False)
        self.list.setProperty("role", "bare")
        self.list.setAccessibleName("Layers of the drawing; Space switches one")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = self.list.header()
        header.setFont(font(NOTE_PT))
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column in (1, 2):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        self.list.setItemDelegate(TickBoxes(desk.theme, self.list))
        self.list.itemChanged.connect(self._on_changed)
        box.addWidget(self.list)

    def show_layers(
        self, layers: Sequence[LayerReport], file: DrawingFile, rules: LayerRules
    ) -> None:
        """Show these layers; the current one stays current."""
        current = self.list.currentIndex().row()
        self.list.blockSignals(True)
        self.list.clear()
        for layer in layers:
            self.list.addTopLevelItem(_item(layer, effect(layer, file, rules)))
        if 0 <= current < len(layers):
            self.list.setCurrentIndex(self.list.model().index(current, 0))
        self.list.blockSignals(False)
        used = sum(not layer.left_out for layer in layers)
        self.title.setText(f"Layers: {used} of {len(layers)} read")
        rows = min(max(len(layers), 1), _MOST_ROWS)
        self.list.setFixedHeight(rows * _ROW_PX + self.list.header().sizeHint().height() + 4)

    def _on_changed(self, item: QTreeWidgetItem, column: int) -> None:
        if column == 0:
            is_read = item.checkState(0) is Qt.CheckState.Checked
            self.switched.emit(item.data(0, _NAME), is_read)


def _item(layer: LayerReport, words: str) -> QTreeWidgetItem:
    item = QTreeWidgetItem([layer.name, str(layer.entity_count), words])
    item.setData(0, _NAME, layer.name)
    flags = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled
    if not layer.frozen:
        flags |= Qt.ItemFlag.ItemIsUserCheckable
    item.setFlags(flags)
    state = Qt.CheckState.Unchecked if layer.left_out else Qt.CheckState.Checked
    item.setCheckState(0, state)
    item.setTextAlignment(1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    item.setToolTip(0, layer.name)
    heard = "left out" if layer.left_out else "read"
    item.setData(
        0,
        Qt.ItemDataRole.AccessibleTextRole,
        f"{layer.name}, {layer.entity_count} entities, {heard}, {words}",
    )
    for column in range(3):
        item.setFont(column, font(NOTE_PT if column else TEXT_PT))
    return item
