"""Bar cutting: wanted lengths out of unequal pieces at least money, with a proven bound on what is possible.

wanted.py says what is asked, problem.py puts it into whole numbers, by_hand.py cuts as a person at the saw would,
fillings.py tabulates every filling of a piece, relaxed.py finds the bound by generating columns, whole.py makes whole
bars of it, again.py cuts a few bars again, solve.py is the sequence of all this, plan.py the answer.
Not here: what a rest is worth (keep.py). Start at plan.py.
"""
