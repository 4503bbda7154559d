"""Advice: the chain run again on changed jobs, to say what helps and what it costs.

Nothing here judges by itself: remedies, ways to go faster and the spindle that follows the contour
are results of `core.pipeline` on another job; the map uses the formulas that the report uses.
"""
