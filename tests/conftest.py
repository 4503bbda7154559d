"""What holds for all tests: no example is held to a time, for nothing timed is asserted."""

from hypothesis import settings

settings.register_profile("untimed", settings.default, deadline=None)
settings.load_profile("untimed")
