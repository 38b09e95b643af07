"""A clock walked second by second: who is on what at each, and whose share it is. Slow, plain, a dict; nothing of ours.

An entry is (second, number, kind, person, job or None, step or None). What was corrected is left out by the caller.
"""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction


def walked(entries, until):
    """Shares of seconds by (person, job, step), and what runs at `until` by person."""
    on = defaultdict(dict)
    shares = defaultdict(Fraction)
    todo = sorted(entries)
    for second in range(until + 1):
        while todo and todo[0][0] <= second:
            _, _, kind, person, job, step = todo.pop(0)
            mine = on[person]
            if kind == "start":
                on[person] = {what: 1 for what in mine if what == (job, step)} | {(job, step): 1}
            elif kind == "beside":
                mine[job, step] = 1
            elif kind in ("stop", "done"):
                keep = [w for w in mine if not (job is None or (w[0] == job and step in (None, w[1])))]
                on[person] = dict.fromkeys(keep, 1)
        if second < until:
            for person, mine in on.items():
                for what in mine:
                    shares[(person, *what)] += Fraction(1, len(mine))
    return dict(shares), {person: set(mine) for person, mine in on.items() if mine}
