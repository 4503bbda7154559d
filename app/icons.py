"""Icons: own SVG drawings, coloured from the palette when they are asked for."""

from __future__ import annotations

from importlib.resources import files

from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

_SIZES = (16, 32)


def icon_names() -> list[str]:
    """Return the names of all icons that are shipped."""
    folder = files("resources").joinpath("icons")
    return sorted(f.name.removesuffix(".svg") for f in folder.iterdir() if f.name.endswith(".svg"))


def icon(name: str, colour: str) -> QIcon:
    """Return an icon in one colour, sharp at every size that menus and buttons ask for."""
    text = files("resources").joinpath("icons", f"{name}.svg").read_text(encoding="utf-8")
    renderer = QSvgRenderer(QByteArray(text.replace("currentColor", colour).encode()))
    out = QIcon()
    for size in _SIZES:
        pixmap = QPixmap(size, size)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        renderer.render(painter)
        painter.end()
        out.addPixmap(pixmap)
    return out
