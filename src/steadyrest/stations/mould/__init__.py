"""How, moulding: what holds the mould shut, and how long a moulding cools in it.

Asked a ClampWanted or a CoolingWanted (asked.py reads them from a request); gives a force or a time with its reasons.
Start at clamp.py. Conduction itself stands in stations/slab.py.
"""
