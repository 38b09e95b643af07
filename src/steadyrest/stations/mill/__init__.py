"""Milling on a turned part: keyways, slots, flats, and holes off or across its axis.

Asked for features; gives one step. Not here: pockets, hexagons and prismatic bodies (refused, with the reason).
Start at answering.py, then slots.py, where a slot's passes are chosen.
"""
