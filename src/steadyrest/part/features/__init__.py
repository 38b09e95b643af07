"""Features from patches: what a machinist would name.

One finder for scans and solids, and it sees patches only. turned.py and profile.py read what turns about the part's
axis; holes.py, keyways.py and flats.py what is cut into it; hole_ends.py where a
scanned hole ends; square_part.py, round_slots.py and pockets.py the rest of a part that is not turned.
Not here: what size the drawing showed (nominal/). Start at find.py.
"""
