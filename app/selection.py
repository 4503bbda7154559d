"""What is looked at: one contour, pass, limit and place, shown and set by every view.

Counting: `contour` is the contour's id with its drawing's index, `step` the index of a pass within
it. The history goes back and forth like the pages of a book.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal


@dataclass(frozen=True, slots=True)
class Looked:
    """One thing that can be looked at.

    Parameters
    ----------
    contour : (int, int) or None
        Index of the drawing and id of the contour.
    step : int or None
        Index of the pass within the contour.
    limit : str
        Name of the limit; empty: the worst one.
    place_mm : (float, float) or None
        A place in drawing coordinates. [mm]
    """

    contour: tuple[int, int] | None = None
    step: int | None = None
    limit: str = ""
    place_mm: tuple[float, float] | None = None


class Selection(QObject):
    """The only truth about what is selected."""

    changed = Signal()
    _LONGEST_HISTORY = 200

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.now = Looked()
        self._past: list[Looked] = []
        self._future: list[Looked] = []

    def set(self, looked: Looked) -> None:
        """Look at something else, remembering what was looked at."""
        if looked == self.now:
            return
        self._past = [*self._past[-self._LONGEST_HISTORY :], self.now]
        self._future.clear()
        self._show(looked)

    def clear(self) -> None:
        """Forget everything: another job was opened."""
        self._past.clear()
        self._future.clear()
        self._show(Looked())

    @property
    def can_go_back(self) -> bool:
        """Whether something was looked at before."""
        return bool(self._past)

    @property
    def can_go_forward(self) -> bool:
        """Whether `back` was used."""
        return bool(self._future)

    def back(self) -> None:
        """Return to what was looked at before."""
        if self._past:
            self._future.append(self.now)
            self._show(self._past.pop())

    def forward(self) -> None:
        """Undo one `back`."""
        if self._future:
            self._past.append(self.now)
            self._show(self._future.pop())

    def _show(self, looked: Looked) -> None:
        self.now = looked
        self.changed.emit()
