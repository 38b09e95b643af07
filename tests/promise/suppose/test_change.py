"""A change to a week changes what it says and nothing else."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.promise.suppose.change import Add, Away, Drop, Due, Extra, Outside, Stands, changed
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep
from tests.promise.weeks import HOUR, weeks


@given(week=weeks(), a=st.integers(0, 40), n=st.integers(1, 20))
def test_hours_added_and_taken_away_leave_sorted_disjoint_hours(week: Week, a: int, n: int) -> None:
    begin, end = a * HOUR / 2, (a + n) * HOUR / 2
    for one in (Extra("p0", begin, end), Away("p0", begin, end)):
        hours = changed(week, (one,)).people[0].stretches_s
        assert all(x < y for x, y in hours)
        assert all(b <= c for (_, b), (c, _) in pairwise(hours))
        inside = sum(max(0.0, min(y, end) - max(x, begin)) for x, y in hours)
        assert inside == (end - begin if isinstance(one, Extra) else 0.0)


@given(week=weeks())
def test_a_job_added_and_dropped_again_leaves_the_week_as_it_was(week: Week) -> None:
    more = replace(week.jobs[0], id="more")
    assert changed(week, (Add(more), Drop("more"))) == week
    assert changed(week, (Add(more),)).jobs[-1] == more


@given(week=weeks())
def test_a_step_sent_outside_needs_nobody_and_no_machine_here(week: Week) -> None:
    job, step = week.jobs[0], week.jobs[0].steps[-1]
    sent = changed(week, (Outside(job.id, step.id, 5 * HOUR),)).jobs[0].steps[-1]
    assert sent.machine is None
    assert [(one.who, one.duration_s, one.elsewhere) for one in sent.phases] == [((), 5 * HOUR, True)]


def test_what_is_not_there_is_named() -> None:
    step = WeekStep("s", "m", (WeekPhase("one", HOUR, ("p0",)),))
    week = Week((Presence("p0", ((0.0, 8 * HOUR),)),), ("m",), (WeekJob("j", 0.0, 4 * HOUR, 1.0, (step,)),))
    for one in (Drop("no"), Due("no", 1.0), Extra("no", 0.0, 1.0), Stands("no", 0.0, 1.0), Outside("j", "no", 1.0)):
        with pytest.raises(ValueError, match="'no'"):
            changed(week, (one,))
    with pytest.raises(ValueError, match="already"):
        changed(week, (Add(week.jobs[0]),))
