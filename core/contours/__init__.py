"""Finds contours: chains loose lines and arcs, mends what is plain, asks about the rest."""

from core.contours.recognising import find_contours

__all__ = ["find_contours"]
