"""The map of the selected pass as a card: what it is of, the map, and what it says in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from app.desk import find_contour, step_name
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.map_view import MapView, Mark
from core.advice.map import SettingsMap, settings_map
from core.advice.map_cut import cut_of_pass
from core.errors import PlanError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.desk import Desk
    from app.trial import Trial
    from core.pipeline import Results
    from core.report.records import ContourReport

ON_THE_MAP = ("spindle_speed_rpm", "feed_per_tooth_mm")
LEGEND = (
    "Blue is inside every limit, orange outside; the line is a margin of nothing. Hatched: outside "
    "the maker\u2019s range, whose ends are dashed. \u25cf plan, + trial. It holds for a warm "
    "cutter on the gentlest stretch; corners are in the limits."
)


class MapCard(QFrame):
    """The map of a pass of the plan, with the trial on it."""

    def __init__(self, desk: Desk, trial: Trial, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk, self._trial = desk, trial
        self._made: tuple[Results, int, SettingsMap] | None = None
        self.kept: Sequence[Mark] = ()
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        self.title = QLabel()
        self.title.setFont(font(TEXT_PT, bold=True))
        self.title.setWordWrap(True)
        box.addWidget(self.title)
        self.map = MapView(desk, self)
        self.map.moved.connect(self._on_moved)
        self.map.hovered.connect(self._on_hovered)
        box.addWidget(self.map)
        self.words = QLabel()
        self.words.setFont(font(NOTE_PT))
        self.words.setWordWrap(True)
        self.words.setAccessibleName("What the map says at the cross")
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.words.setMinimumHeight(2 * self.words.fontMetrics().lineSpacing())
        box.addWidget(self.words)
        legend = QLabel(LEGEND)
        legend.setFont(font(NOTE_PT))
        legend.setProperty("role", "muted")
        legend.setWordWrap(True)
        box.addWidget(legend)
        desk.theme.changed.connect(self.map.update)

    def refresh(self) -> None:
        """Show the map of the selected pass, with the plan and the trial on it."""
        contour = self._desk.contour()
        place = self._place(contour)
        results = self._desk.results
        if contour is None or place is None or results is None:
            self._show_nothing("Pick a pass to see its map.")
            return
        cut_pass = contour.passes[place]
        self.title.setText(f"Map of {contour.id} {contour.name}, {step_name(contour, place)}")
        try:
            settings = self._map(contour, place, results)
        except PlanError as error:
            text = str(error)
            self._show_nothing(f"{text[:1].upper()}{text[1:]}.")
            return
        plan = Mark("", cut_pass.spindle_speed_rpm, cut_pass.feed_per_tooth_mm)
        moved = self._trial.changes
        cross = Mark("", moved.get(ON_THE_MAP[0], plan.rpm), moved.get(ON_THE_MAP[1], plan.load_mm))
        self.map.show_map(settings, plan, cross, self.kept)
        self.map.show()
        self.words.setText(self.map.words(cross.rpm, cross.load_mm))

    def _show_nothing(self, why: str) -> None:
        self.map.show_map(None, None, None)
        self.map.hide()
        self.words.setText(why)

    def _place(self, contour: ContourReport | None) -> int | None:
        cut_pass = self._desk.cut_pass()
        if contour is None or cut_pass is None:
            return None
        return next(i for i, one in enumerate(contour.passes) if one is cut_pass)

    def _map(self, contour: ContourReport, place: int, plan: Results) -> SettingsMap:
        """Return the map of the pass as the other levers of the trial make it."""
        results, index = plan, contour.passes.indices[place]
        tried = self._trial.whole
        if tried is not None and set(self._trial.changes) - set(ON_THE_MAP):
            other = find_contour(tried.report, self._desk.selection.now)
            if other is not None and place < len(other.passes):
                results, index = tried, other.passes.indices[place]
        if self._made is None or self._made[0] is not results or self._made[1] != index:
            self._made = results, index, settings_map(cut_of_pass(results, index))
        return self._made[2]

    def _on_moved(self, rpm: float, load_mm: float) -> None:
        cross = self.map.cross
        assert cross is not None, "only a cross is moved"
        was = dict(zip(ON_THE_MAP, (cross.rpm, cross.load_mm), strict=True))
        wanted = dict(zip(ON_THE_MAP, (rpm, load_mm), strict=True))
        self._trial.move_all({k: v for k, v in wanted.items() if abs(v - was[k]) > 1e-9})

    def _on_hovered(self, words: str) -> None:
        cross = self.map.cross
        at_cross = self.map.words(cross.rpm, cross.load_mm) if cross is not None else ""
        self.words.setText(words or at_cross)
