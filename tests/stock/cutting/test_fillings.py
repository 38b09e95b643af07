"""The table of fillings, and all fillings near its best, against plain enumeration."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.cutting.fillings import NEVER, all_fillings, filling_at, tabulate

ROOM = 30


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 15), st.integers(0, 3), st.integers(-20, 50)), min_size=1, max_size=4),
    st.integers(0, 30),
)
def test_the_table_and_all_fillings_near_it_are_those_of_plain_enumeration(parts, slack):
    widths, most, worth = (np.array(column, np.int64) for column in zip(*parts, strict=True))
    table = np.empty((len(parts) + 1, ROOM + 1), np.int64)
    tabulate(table, widths, most, worth)
    best = dict[int, int]()
    every = list(itertools.product(*(range(n + 1) for n in most)))
    for filling in every:
        used, value = int(np.dot(filling, widths)), int(np.dot(filling, worth))
        if used <= ROOM:
            best[used] = max(best.get(used, value), value)
    assert {x: int(table[-1, x]) for x in range(ROOM + 1) if table[-1, x] > NEVER} == best
    for used, value in best.items():
        found = filling_at(table, widths, most, worth, used)
        assert (int(found @ widths), int(found @ worth)) == (used, value)
    fillings, takes, complete = all_fillings(table, widths, most, worth, np.full(ROOM + 1, slack), 1000, 1000)
    near = {f for f in every if 0 < (u := int(np.dot(f, widths))) <= ROOM and np.dot(f, worth) >= best[u] - slack}
    assert complete
    assert {tuple(f) for f in fillings.tolist()} == near
    assert takes.tolist() == (fillings @ widths).tolist()
    assert len(fillings) == len(near)
