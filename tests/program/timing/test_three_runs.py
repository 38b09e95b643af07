"""The three constants come back from the three programs, whatever they were, on either kind of control."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, none, one_of

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.machine_time import MachineTiming, run_time
from steadyrest.program.timing.three_runs import CHANGES, measured, three_programs
from steadyrest.trouble import BadInput


def timed_s(program: str, timing: MachineTiming, limit: float) -> tuple[float, float]:
    """(moving s, changing s) of a program on a machine that drives no feed above its limit."""
    capped = program.replace("F60000", f"F{limit:.6f}")
    spent = run_time(read(capped.encode(), Dialect()), timing)
    return float(spent.move_s.sum()), float(spent.event_s.sum())


@settings(deadline=None, max_examples=40)
@given(
    limit=floats(2_000, 15_000),
    accel=floats(300, 6_000),
    change=floats(1, 60),
    corner=one_of(none(), floats(0.005, 0.1)),
)
def test_the_constants_come_back(limit: float, accel: float, change: float, corner: float | None) -> None:
    timing = MachineTiming((2e4, 2e4, 2e4), accel, corner, change)
    short, long, changes = three_programs()
    got = measured(
        short_s=timed_s(short, timing, limit)[0],
        long_s=timed_s(long, timing, limit)[0],
        change_s=timed_s(changes, timing, limit)[1] - change,  # the first tool is in the spindle already
    )
    if limit < (accel * 300.0) ** 0.5 * 60:  # else the long way never reaches it, and nobody can tell
        assert got.accel_mm_s2 == pytest.approx(accel, rel=1e-4)
        assert got.max_feed_mm_min == pytest.approx(limit, rel=1e-4)
    assert got.tool_change_s == pytest.approx(change, rel=1e-6)
    assert changes.count("M6") - 1 == CHANGES


def test_times_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadInput):
        measured(short_s=0.0, long_s=3.0, change_s=30.0)
    with pytest.raises(BadInput, match="long way took"):
        measured(short_s=40.0, long_s=0.5, change_s=30.0)
