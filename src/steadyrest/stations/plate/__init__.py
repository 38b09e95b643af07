"""Cutting from plate: plasma, flame, laser, water.

In order: setting.py (strength, feed, kerf for this metal and thickness, or why not), edges.py (what the cut edge holds,
ISO 9013), openings.py (which holes are cut, which drilled, which are too narrow), torch.py (the path round an outline
and its time), sheet_order.py (what is cut after what, and how far it is between), support.py (what falls through or
tips between the slats), wear.py (tips, gas, power, air), drilling.py (by hand, what is too small to cut).
Not here: where parts lie on a sheet (stock/sheet_nests.py), what is drilled on the mill (stations/mill).
Start at answering.py.
"""
