"""Reads a drawing: DXF bytes to loose lines and arcs in mm, with its unit and what was left out."""
