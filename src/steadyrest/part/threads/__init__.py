"""Threads and tapers that have a name: found on the surface, matched against the tables with odds.

Asked a patch graph; gives threads with pitch, hand, starts, depth, and which of the tables they may be. A cone's half
angle gives the tapers that it may be. Not here: the drawing's other sizes (part/nominal), limits.
Start at find.py; spectrum.py is how a helix shows itself.
"""
