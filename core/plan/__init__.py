"""Passes from recipe and contour: cutter-centre paths, depths, entries, feeds."""

from core.plan.choices import Choices, choose
from core.plan.feeds import plan_feeds
from core.plan.toolpaths import Toolpaths, plan_toolpaths

__all__ = ["Choices", "Toolpaths", "choose", "plan_feeds", "plan_toolpaths"]
