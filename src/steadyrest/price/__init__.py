"""For how much: costs as draws, the price to walk away at, the offer, breaks by quantity.

Not here: how long it takes (stations), what it displaces (promise). Start at price.py; for work done, statement/.
"""
