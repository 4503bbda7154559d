"""Spindle speeds and feeds: every candidate is named, the least one binds.

Spindle speed: a share of the holder's balanced speed (house rule), the cutter maker's highest
speed, the machine's. Roughing: the middle of the maker's chip-load range. Finishing: the least of
the maker's top, the middle corrected for the thin engagement, and the feed that keeps the marks on
the wall low. Then the machine's highest feed and the spindle's power.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from core.cutting.chip import feed_for_mark_height_mm, h_max_mm
from core.cutting.chip import engagement_angle_rad as engagement
from core.cutting.force import cutting_power_w, spindle_power_available_w
from core.cutting.speeds import feed_speed_mm_min
from core.errors import Finding, Severity
from core.plan.records import Bound, Pass, Plan, Toolpath

if TYPE_CHECKING:
    from core.library.records import ChipLoadRange, MountedCutter
    from core.plan.choices import Feeding
    from core.plan.toolpaths import Toolpaths

FALLBACK_SHARE = (0.02, 0.04)
"""Chip load as a share of the diameter where the maker gives none for a material (values as
published for sheet plastics up to 6 mm; an estimate)."""
