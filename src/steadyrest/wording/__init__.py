"""Wording: turns figures and reasons, which are data, into sentences in the reader's own units.

The sentences stand in words/*.toml, one file a room. Not here: which reason applies (made where the number is made).
Start at say.py.
"""
