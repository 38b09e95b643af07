"""How, as a whole: the steps in their order, and the best few routes.

Not here: how one station works (stations), when it runs (promise). Start at best.py, then assembly.py.
"""
