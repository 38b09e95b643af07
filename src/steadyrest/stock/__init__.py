"""From what: pieces on the rack, bar to buy, what is left over.

Not here: how it is cut (stations). Start at choice.py, then blank.py.
"""
