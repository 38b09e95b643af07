"""By when: calendars, the policy simulated, odds.

Not here: how long a phase takes (stations), what it costs (price). Start at promise.py, then dispatch.py.
"""
