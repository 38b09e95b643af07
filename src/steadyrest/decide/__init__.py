"""Should I take it: limits, cost of yes, refusals with the nearest yes.

Not here: the odds (promise), the money (price). Start at take.py.
"""
