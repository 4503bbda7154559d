"""Copies of the drawings on sheets, and the order of work over a sheet."""

from core.layout.order import Tour, find_tour, order_work, placed
from core.layout.records import Copy, Layout, Order, OrderLine, SheetLayout
from core.layout.rows import lay_in_rows

__all__ = [
    "Copy",
    "Layout",
    "Order",
    "OrderLine",
    "SheetLayout",
    "Tour",
    "find_tour",
    "lay_in_rows",
    "order_work",
    "placed",
]
