"""Temperatures of chip, wall and cutter, the margin to softening, its band and its cause."""
