"""Lessons: what the hours of past jobs say about the hours of new ones.

Estimates, actual hours and quotes won and lost go in; how wrong the estimates are, by whom and where, and what winning
against others does, come out as draws; new jobs are asked with them. Not here: which hours were worked (the store),
what to charge (price). Start at model.py, then sampler.py; past.py reads the lists, told.py says what was learned.
"""
