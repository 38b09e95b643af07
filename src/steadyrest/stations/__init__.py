"""How, each: the ways of working on the floor.

Asked an Ask (a part, some of its features, the shop); gives an Answer (steps, cautions, what it could not do).
Not here: which route is best (route), when it runs (promise), what it costs (price).
Start at answer.py, then saw.py, the smallest station. A new station is a module and a line in known.py.
"""
