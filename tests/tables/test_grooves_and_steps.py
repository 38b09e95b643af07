"""Plain deviations of grooves, and the steps of diameters that metric threads are toleranced by."""

from __future__ import annotations

from itertools import pairwise
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from steadyrest.tables.groove_limits import GrooveSize, groove_deviations_mm
from steadyrest.tables.rows import rows
from steadyrest.tables.thread_limits import diameter_step_mm


def test_a_groove_is_never_narrower_or_shallower_than_its_nominal() -> None:
    for what in get_args(GrooveSize):
        below, above = groove_deviations_mm(what)
        assert below == 0.0 < above


def test_steps_of_diameters_follow_one_another() -> None:
    steps = [(row.number("over_mm"), row.number("upto_mm")) for row in rows("thread_steps")]
    assert all(before[1] == after[0] for before, after in pairwise(steps))


@given(diameter_mm=st.floats(1.0, 355.0))
def test_every_thread_lies_in_its_step(diameter_mm: float) -> None:
    step = diameter_step_mm(diameter_mm)
    assert step is not None
    assert step[0] < diameter_mm <= step[1]


def test_beyond_the_print_there_is_no_step() -> None:
    assert diameter_step_mm(0.9) is None
    assert diameter_step_mm(400.0) is None
