"""Is it right: gauges, their uncertainty, whether a reading decides.

Not here: the limits themselves (part/limits). Start at decision.py, then plan.py.
"""
