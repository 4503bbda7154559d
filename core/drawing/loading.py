"""Turns the bytes of a DXF into a document of ezdxf; the border where its exceptions end.

The strict loader goes first; only what it refuses goes through the repairing one, which is slower
and tells what it mended. Text is decoded with the code page that the file names, binary DXF is
recognised by its first bytes. While loading, the garbage collector rests: millions of small
objects are made and none freed, which costs about a fifth of the time otherwise.
"""

from __future__ import annotations

import contextlib
import gc
import io
import logging
import re
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.drawing.opening import MAX_FILE_BYTES, too_large
from core.errors import Cancelled, DrawingError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from ezdxf.document import Drawing as Document

BINARY_MARK = b"AutoCAD Binary DXF\r\n\x1a\x00"
"""First bytes of a binary DXF, from the published DXF reference."""

SECTION = re.compile(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*SECTION[ \t]*\r?(?:\n|$)")
HEADER_REACH_BYTES = 1 << 20


@dataclass(frozen=True, eq=False)
class Loaded:
    """A document and what was wrong with its file.

    Parameters
    ----------
    document : ezdxf document
        What the file holds.
    damage : tuple of str
        What the repairing loader mended, in its words; empty for a sound file.
    states_header : bool
        Whether the file itself has a HEADER section: without one the loaders make up a unit.
    """

    document: Document
    damage: tuple[str, ...]
    states_header: bool


class _Watched(io.BytesIO):
    """Bytes that report how far they were read and stop when asked to."""

    def __init__(
        self,
        content: bytes,
        progress: Callable[[float], None] | None,
        cancelled: Callable[[], bool] | None,
    ) -> None:
        super().__init__(content)
        self._size = max(len(content), 1)
        self._progress = progress
        self._cancelled = cancelled

    def read1(self, size: int | None = -1, /) -> bytes:
        if self._cancelled is not None and self._cancelled():
            raise Cancelled("reading the drawing was stopped")
        if self._progress is not None:
            self._progress(self.tell() / self._size)
        # a few hundred calls a file: reporting costs nothing, and no reading is ever longer
        return super().read1(max(size or 0, self._size // 200))


def load(
    name: str,
    content: bytes,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Loaded:
    """Return the document in `content`.

    Parameters
    ----------
    name : str
        File name for messages.
    content : bytes
        The file.
    progress : callable, optional
        Told the share read, 0 to 1.
    cancelled : callable, optional
        Asked now and then whether to stop.

    Raises
    ------
    DrawingError
        It is no DXF, is cut off, or is damaged beyond repair.
    Cancelled
        The user asked to stop.
    """
    _refuse_what_is_no_dxf(name, content)
    states_header = b"HEADER" in content[:HEADER_REACH_BYTES]
    with _quiet(), _no_garbage_collection():
        try:
            document = _strict(content, progress, cancelled)
            document.modelspace()  # a document without one is damaged too
            return Loaded(document, (), states_header)
        except Cancelled:
            raise
        except Exception as problem:  # the border: whatever damage makes ezdxf raise ends here
            first = problem
        try:
            if content.startswith(BINARY_MARK):
                raise first  # there is no repairing loader for binary files
            document, damage = _repaired(content)
            document.modelspace()
        except Exception as problem:  # as above
            raise DrawingError(
                f"{name}: damaged beyond repair ({_short(first)}); save it again as DXF"
            ) from problem
    return Loaded(document, (_short(first), *damage), states_header)


def _refuse_what_is_no_dxf(name: str, content: bytes) -> None:
    if not content.strip(b"\x00 \t\r\n"):
        raise DrawingError(f"{name}: is empty; save the drawing again")
    if len(content) > MAX_FILE_BYTES:
        raise DrawingError(too_large(name, len(content)))
    if content.startswith(BINARY_MARK):
        return
    if not SECTION.search(content):
        raise DrawingError(f"{name}: is no DXF file; save the drawing as DXF (R12 to 2018)")
    if content.rfind(b"EOF") < 0 and content.rfind(b"SECTION") > content.rfind(b"ENDSEC"):
        raise DrawingError(
            f"{name}: is cut off, its end is missing; what is lost cannot be known: "
            "save or copy the drawing again"
        )


def _strict(
    content: bytes,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Document:
    import ezdxf
    from ezdxf.document import Drawing as Document
    from ezdxf.lldxf.tagger import binary_tags_loader

    if content.startswith(BINARY_MARK):
        return Document.load(binary_tags_loader(content))
    head = content[:HEADER_REACH_BYTES].decode("utf-8", errors="ignore")
    try:
        encoding = ezdxf.filemanagement.dxf_stream_info(io.StringIO(head)).encoding
    except Exception:  # a damaged header: the strict loader will say so
        encoding = "cp1252"
    stream = io.TextIOWrapper(
        _Watched(content, progress, cancelled), encoding=encoding, errors="surrogateescape"
    )
    return ezdxf.read(stream)


def _repaired(content: bytes) -> tuple[Document, tuple[str, ...]]:
    from ezdxf import recover

    document, auditor = recover.read(io.BytesIO(content))
    words = tuple(entry.message for entry in (*auditor.errors, *auditor.fixes))
    return document, words


def _short(problem: Exception) -> str:
    """Return the first line of a foreign message, bounded and printable."""
    text = (str(problem).strip() or type(problem).__name__).splitlines()[0]
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= 100 else text[:97] + "..."


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep what ezdxf logs and warns out of the user's terminal: the findings say it."""
    logger = logging.getLogger("ezdxf")
    before = logger.disabled
    logger.disabled = True
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logger.disabled = before


@contextlib.contextmanager
def _no_garbage_collection() -> Iterator[None]:
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
