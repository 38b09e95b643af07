"""Suppose: a change tried on the plan without making it, and the best ways out of what it breaks.

Not here: the odds themselves (dispatch), the plan of a week as it stands (asked_plan). Start at supposed.py.
"""
