"""Python's garbage collector, kept on the main thread.

Run in a pool thread it would destroy Qt objects there and crash (tried: 4 of 4 runs). So the
automatic collector is off, and a timer of the main thread collects when the counts ask for it.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

_INTERVAL_MS = 500


class Collector(QObject):
    """Collects garbage from a timer of the thread that it lives in."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._thresholds = gc.get_threshold()
        self._timer = QTimer(self)
        self._timer.setInterval(_INTERVAL_MS)
        self._timer.timeout.connect(self.collect)
        self._timer.start()

    def collect(self) -> None:
        """Collect the generations whose count has passed its threshold."""
        counts = gc.get_count()
        for generation in (2, 1, 0):
            if counts[generation] > self._thresholds[generation] > 0:
                gc.collect(generation)
                return
