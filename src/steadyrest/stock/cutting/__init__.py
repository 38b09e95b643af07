"""Bar cutting: wanted lengths out of unequal pieces at least money, with a proven bound on what is possible.

wanted.py says what is asked, problem.py puts it into whole numbers, by_hand.py cuts as a person at the saw would,
fillings.py tabulates every filling of a piece, relaxed.py finds the bound by generating columns, whole.py makes whole
bars of it, again.py cuts a few bars again, solve.py is the sequence of all this, plan.py the answer; in_order.py
puts it into the order of sawing, with weights, and mitred.py lays parts whose ends are not square.
Not here: what a rest is worth (keep.py). Start at plan.py.
"""
