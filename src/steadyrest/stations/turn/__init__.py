"""Turning: from a sawn blank to the turned part, in two clampings.

Asked for faces, shafts, bores, cones, grooves, chamfers about the part's axis; gives one step a side, each figure with
what limited it. Not here: sawing, keyways and cross holes (mill), which end first (stock/blank.py).
Start at answering.py, then passes.py, where depth, feed and speed are chosen.
"""
