"""Plate nesting: where on a plate each part is cut, whatever the outlines.

Asked a NestWanted (parts, plate, gaps, turns); gives a NestPlan. Parts are first set down one by one, then moved out of
each other until none is too near, then pushed together so that what is left of the plate is one piece.
An outline is a set of convex pieces (pieces.py); how deep two such pieces stand in each other is exact (near.py).
Not here: lead-ins, order of cutting, time. Start at plan.py, then search.py; judged.py says by itself what is wrong.
"""
