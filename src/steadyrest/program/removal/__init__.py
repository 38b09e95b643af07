"""The program met with the stock: what each move cuts away, and what it must not touch.

Given a run's moves, the blank and the shape of each tool; gives, move by move, the volume cut away, how deep and wide
the tool stands in the metal, and where a rapid or a holder runs into what is left. A mill's stock is a field of heights
seen along the spindle (heights.py), or lines of metal where it is cut from several sides (dexels.py); a lathe's is a
profile of radii along the axis (profile.py).
Not here: what a finding is called and what to do about it (the leaving check), how long a move takes (time).
Start at meet.py.
"""
