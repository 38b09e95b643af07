"""What each tool takes away in one set-up: cells of the blank that are not of the part, seen from the spindle.

Asked for the cells, a direction and the tools; gives a Take a tool, and what no tool reaches.
Start at takes.py; cells.py holds the body and its stock, slabs.py cuts them into layers, distance.py measures there.
Not here: how fast it goes (times/), how it is held (set_ups/).
"""
