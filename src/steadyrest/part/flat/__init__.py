"""Flat parts: from the lines of a drawing to outlines with holes, and what a machinist would name on them.

In order: unit.py, entities.py (a record to curves), layers.py (what a layer's name says), drawn.py (the whole drawing
as curves), twice.py (what is drawn twice), chains.py (ends to closed lines), smooth.py (chords that were an arc),
crossings.py, nest.py (outside, hole, part in a hole), shapes.py, arcs.py, patterns.py and features.py (bores, slots,
corners, bolt circles), said.py (repaired, lost, doubted), flat_part.py (a file to a Part).
Not here: the tags of the file (part/files/dxf.py), nominal sizes (part/nominal/), the picture (papers/drawing/).
Start at flat_part.py.
"""
