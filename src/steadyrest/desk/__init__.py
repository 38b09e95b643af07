"""The use cases, one module for each verb a person would say, in rooms by what it is about.

Read a part, plan it, keep it, print it. Owns transactions; web and cli call only this. Rooms: incoming (a part comes
in), plan, pieces (the rack), cutting (bars and plates), week, night (with nobody there), floor (clock, people,
gauges), accounts (customers and money), books (lists, copies, finding). Not here: how a figure is computed (the rooms
below), how it looks (web, papers). Start at plan/plan_part.py, which asks all six questions; what all share stands
beside the rooms.
"""
