"""From what: pieces on the rack, bar to buy, what is left over.

Not here: how it is cut (stations). Start at choice.py, then blank.py; carry.py and carried_lot.py are carry blanks,
keep.py what a remnant is worth, scrap.py when scrap should go, rectangle.py what an odd plate yields.
"""
