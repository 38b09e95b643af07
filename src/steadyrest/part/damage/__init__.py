"""Damage on a scanned turned part: ends that broke, halves put together again, bend, and where the surface is open.

Each says what it cannot tell. Not here: wear (part/wear/worn.py), whether a weld or a new part is better (decide).
Start at whole.py (one part) and halves.py (a part in two pieces).
"""
