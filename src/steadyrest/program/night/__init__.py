"""What may happen while nobody is there: how long tools last, how many good parts, what stands if it stops.

Start at survival.py. prohibited.py lists what is never left alone.
"""
