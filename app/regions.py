"""F6: the parts of the window, one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence


def focus_next(regions: Sequence[QWidget], by: int) -> None:
    """Move the focus from the part that has it to the next one, or back with -1."""
    focus = QApplication.focusWidget()
    at = next((i for i, r in enumerate(regions) if focus is not None and _holds(r, focus)), -1)
    regions[(at + by) % len(regions)].setFocus(Qt.FocusReason.TabFocusReason)


def _holds(region: QWidget, focus: QWidget) -> bool:
    return region is focus or region.isAncestorOf(focus)
