"""Milling: keyways, slots, flats and holes of turned parts, and whole parts that are not turned.

Asked for features; gives a step for each clamping. Start at answering.py. A turned part's slots.py and holes.py choose
passes; any other part goes to prismatic.py: working.py finds set-ups (set_ups/) and what each tool takes (removal/),
cutting.py times it (times/). Not here: threads outside, and what a turned part needs on a lathe.
"""
