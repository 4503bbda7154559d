"""The computing part: drawing -> contours -> plan -> motion -> chip, heat -> report.

Nothing here imports Qt. Every stage is a function from frozen data to frozen data.
"""

PROJECT = "panewright"
"""Tells our package from another one named `core` that shadows it (see app/main.py)."""
