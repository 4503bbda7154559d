"""What stands on the sheet and must not be run into: clamps and screws."""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Form(enum.StrEnum):
    """What a keep-out looks like from above."""

    RECTANGLE = "rectangle"
    CIRCLE = "circle"


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A clamp or a screw on every sheet of the job.

    Parameters
    ----------
    name : str
        As a person calls it ("clamp, lower left").
    at_mm : (float, float)
        Its centre, from the lower left corner of the sheet. [mm]
    size_mm : (float, float)
        Width and height seen from above; of a circle the first is the diameter. [mm]
    height_mm : float
        How high it stands above the sheet. [mm]
    form : Form
        Rectangle or circle.
    """

    name: str
    at_mm: tuple[float, float]
    size_mm: tuple[float, float]
    height_mm: float = 8.0
    form: Form = Form.RECTANGLE
