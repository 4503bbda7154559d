"""The speed the machine really reaches along a path, and the time it takes."""

from core.motion.move import move, rapid_time_s, spindle_ramp_s

__all__ = ["move", "rapid_time_s", "spindle_ramp_s"]
