"""Passes from recipe and contour: cutter-centre paths, depths, entries, feeds."""
