"""The plain values all rooms speak: Figure, Reason, Luck, Machine, Person, Part, Step, Route.

Nothing here computes, except reading the shop file. Start at figure.py, part.py, floor.py, work.py.
"""
