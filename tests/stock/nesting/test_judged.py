"""The judge itself: it finds what is put wrong on purpose, and nothing else."""

from __future__ import annotations

import pytest

from steadyrest.stock.nesting.judged import closest, faults
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Placed

SQUARE = NestPart("S", 2, ((0, 0), (10, 0), (10, 10), (0, 10)))
WANTED = NestWanted(
    (SQUARE,), ((0, 0), (100, 0), (100, 40), (0, 40)), (((60, 10), (80, 10), (80, 30), (60, 30)),), 2.0, 3.0, 4.0,
    None, False,
)  # fmt: skip


def at(x: float, y: float, turn: float = 0.0) -> Placed:
    return Placed(SQUARE, x, y, turn, False)


@pytest.mark.parametrize(
    ("placed", "what", "lacks"),
    [
        ((at(3, 3), at(15, 3)), None, 0.0),
        ((at(3, 3), at(14.9, 3)), "gap", 0.1),
        ((at(2, 3),), "margin", 1.0),
        ((at(47, 15),), "hole", 1.0),
        ((at(46, 15),), None, 0.0),
        ((at(3, 3), at(3, 3)), "gap", 7.0),  # one on the other: 5 thick on the whole, and the gap
        ((at(-20, 3),), "margin", 8.0),
        ((at(90, 27),), "margin", None),
    ],
)
def test_a_fault_is_found_where_one_is(placed, what, lacks):
    found = faults(WANTED, placed)
    assert [fault.what for fault in found] == ([what] if what else [])
    if what and lacks is not None:
        assert found[0].lacks_mm == pytest.approx(lacks)


def test_the_closest_two_count():
    assert closest((at(3, 3), at(15, 3), at(30, 3))) == pytest.approx(2.0)
    assert closest((at(3, 3),)) is None
