"""The plan with the least weighted lateness, where every time is certain.

Asked a Week; gives when each phase begins and ends and who does it. Not here: odds (dispatch.py), the request's file.
Start at search.py; then laid.py (the week as arrays), builder.py (one order into one plan), anneal.py (better orders).
What no plan goes below: alone.py, together.py (many jobs), every.py (few).
"""
