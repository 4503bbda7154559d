"""What happens when we have a bug: the job is saved first, then the user is told, once each.

Exceptions of slots, of events, of threads and unraisable ones all end here. The text goes to the
log with its trace; the window shows one line and stays open.
"""

from __future__ import annotations

import logging
import sys
import threading
import traceback
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

if TYPE_CHECKING:
    from collections.abc import Callable
    from types import TracebackType

_LOG = logging.getLogger(__name__)


class Emergency(QObject):
    """Takes what nobody caught.

    Parameters
    ----------
    save : callable
        Saves the job to the recovery folder; must not raise.
    """

    told = Signal(str)
    _arrived = Signal(str)

    def __init__(self, save: Callable[[], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._save = save
        self._seen: set[str] = set()
        self._old = (sys.excepthook, threading.excepthook, sys.unraisablehook)
        self._arrived.connect(self._tell)

    def install(self) -> None:
        """Become the hook of this process."""
        sys.excepthook = self.caught
        threading.excepthook = self._in_thread
        sys.unraisablehook = self._unraisable

    def remove(self) -> None:
        """Give the hooks back."""
        sys.excepthook, threading.excepthook, sys.unraisablehook = self._old

    def caught(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Save the job, then tell; the same trace is told once."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        self._save()
        text = "".join(traceback.format_exception(kind, error, trace))
        _LOG.error("%s", text)
        if text not in self._seen:
            self._seen.add(text)
            self._arrived.emit(f"{kind.__name__}: {error}")

    def report(self, error: object) -> None:
        """Take an exception that a worker handed over."""
        if isinstance(error, BaseException):
            self.caught(type(error), error, error.__traceback__)

    def _in_thread(self, args: threading.ExceptHookArgs) -> None:
        if args.exc_value is not None:
            self.caught(args.exc_type, args.exc_value, args.exc_traceback)

    def _unraisable(self, args: sys.UnraisableHookArgs) -> None:
        if args.exc_value is not None:
            self.caught(args.exc_type, args.exc_value, args.exc_traceback)

    def _tell(self, line: str) -> None:
        self.told.emit(
            f"Something in the program failed ({line}). Unsaved work was kept; go on, or save it "
            "under another name and start again."
        )
