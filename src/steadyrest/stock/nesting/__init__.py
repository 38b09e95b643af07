"""Plate nesting: where on a plate each part is cut, whatever the outlines.

Asked a NestWanted (parts, plate, gaps, turns); gives a NestPlan. Parts are first set down one by one, then moved out of
each other until none is too near, then pushed together so that what is left of the plate is one piece.
Two pictures of the same nest: grids of distances and points that feel them (field.py, deep.py, feel.py, table.py),
quick for any outline, on which the search moves one part (seek.py, descend.py) or all (press.py), and shakes them where
it is stuck (shake.py); and convex pieces (pieces.py, near.py, floor.py), exact, on which linear programmes put right
what the grids left (exact.py).
compiled.py says how all their loops are compiled.
Not here: lead-ins, order of cutting, time. Start at plan.py, then search.py; judged.py says by itself what is wrong.
Several sheets are one plate (sheets.py); opened.py says which of them are cut at least cost, and what stays of each.
"""
