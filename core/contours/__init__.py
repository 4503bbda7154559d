"""Chains loose segments to contours: repair, containment, kinds, tasks."""
