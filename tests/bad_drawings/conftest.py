"""Draws small files for the pitfalls of real drawings, and reads them."""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import ezdxf
import pytest

from core.contours import find_contours
from core.drawing import read_drawing
from core.job.job import DrawingFile

if TYPE_CHECKING:
    from collections.abc import Callable

    from core.contours.records import Contours
    from core.drawing.records import Drawing
    from core.errors import Finding


@dataclass(frozen=True, eq=False)
class Read:
    """A file, and what reading it gave."""

    file: DrawingFile
    drawing: Drawing
    contours: Contours

    @property
    def findings(self) -> tuple[Finding, ...]:
        return (*self.drawing.findings, *self.contours.findings)

    def codes(self) -> set[str]:
        return {finding.code for finding in self.findings}

    def asked(self) -> set[str]:
        return {f.code for f in self.findings if f.severity != "note" and not f.repaired}

    def finding(self, code: str) -> Finding:
        return next(f for f in self.findings if f.code == code)

    def counts(self) -> tuple[int, int, int]:
        found = self.contours
        return found.outer_count, found.hole_count, found.open_count

    def again(self, **choices: Any) -> Read:
        return read(replace(self.file, **choices))


def read(file: DrawingFile) -> Read:
    drawing = read_drawing(file)
    return Read(file, drawing, find_contours(drawing, file))


def content_of(document: Any, encoding: str = "utf-8") -> bytes:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(encoding)


@pytest.fixture
def drawn() -> Callable[..., Read]:
    """Return a function that draws a file by another function and reads it."""

    def draw(
        artist: Callable[[Any], object], *, insunits: int | None = 4, measurement: int = 1
    ) -> Read:
        document = ezdxf.new("R2010")
        document.header["$INSUNITS"] = insunits or 0
        document.header["$MEASUREMENT"] = measurement
        artist(document)
        return read(DrawingFile("drawn.dxf", content_of(document)))

    return draw
