"""Formulas of the cut: speeds, chip, force, balance, hold-down, skin. They know no contour."""
