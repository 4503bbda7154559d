"""Copies of the drawings on sheets, and the order of work over a sheet."""
