"""Odds under a policy: agreement with the plain twin, and sums of log-normal times by the normal distribution."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.promise.asked import AskedWeek
from steadyrest.promise.by_policy import MOST_DRAWS, by_policy
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep
from steadyrest.shop.draws import Luck
from tests.oracles.slow_dispatch import simulate
from tests.promise.asked_weeks import NOW
from tests.promise.weeks import HOUR, plainly, weeks


def asked(week: Week, order: tuple[int, ...], spreads: Spreads) -> AskedWeek:
    return AskedWeek(NOW, week, (NOW,) * len(week.jobs), order, spreads)


def quiet(what: str, share: float) -> None:
    pass


def promised(week: AskedWeek, seed: int = 1):
    return by_policy(week, seed=seed, progress=quiet, stop=lambda: False)


@settings(deadline=None, max_examples=12)
@given(week=weeks(), seed=st.integers(0, 100))
def test_the_odds_are_the_share_of_the_twin_s_draws_that_keep_the_due_time(week: Week, seed: int) -> None:
    spreads = Spreads(job=0.2, person_else=0.1)
    order = tuple(int(k) for k in np.random.default_rng(seed).permutation(len(week.jobs)))
    odds = promised(asked(week, order, spreads), seed).odds
    count = 200
    draws, kept = draw(week, Luck(count, seed + 1), spreads), np.zeros(len(week.jobs))
    for d in range(count):
        people, jobs, factors = plainly(week, draws, d)
        work = simulate(people, jobs, list(order), factors)
        kept += [job.over and job.ended[-1] <= week.jobs[j].due_s for j, job in enumerate(work)]
    # Five standard errors of a share counted over 200 draws, at most.
    assert np.abs(np.array(odds) - kept / count).max() <= 5 * math.sqrt(0.25 / count)


# A phase by one person: ln of its time is normal, so the odds are Phi(ln(due / median) / sd); sd adds in squares.
@pytest.mark.parametrize(
    ("job", "person", "own", "who", "sd"),
    [
        (0.3, 0.0, 0.0, True, 0.3),
        (0.3, 0.4, 0.0, True, 0.5),
        (0.3, 0.4, 1.2, True, 1.3),
        (0.3, 0.4, 0.4, False, 0.5),
        (0.3, 0.4, 0.0, False, 0.0),
    ],
)
def test_one_phase_is_kept_as_often_as_the_normal_distribution_says(job, person, own, who, sd) -> None:
    phase = WeekPhase("", 2 * HOUR, ("ana",) if who else (), spread=own)
    for due in (1.2, 1.9, 2.0, 3.0):
        week = Week(
            (Presence("ana", ((0.0, 1e6),)),),
            (),
            (WeekJob("1", 0.0, due * HOUR, 1.0, (WeekStep("s", None, (phase,)),)),),
        )
        odds = promised(asked(week, (0,), Spreads(job=job, person_else=person))).odds[0]
        wanted = NormalDist().cdf(math.log(due / 2) / sd) if sd else float(due >= 2)
        assert odds == pytest.approx(wanted, abs=4 * math.sqrt(0.25 / MOST_DRAWS))


def test_a_stop_stands_until_anyone_is_in_and_then_goes_on() -> None:
    # A run of 4 h from 0, stopping with odds 0.5 at a point uniform over it; Ana is in 0-1 and 10-12. Due at 12 h:
    # it ends by then if it does not stop (0.5), stops in the first hour (0.125), or after 2 h at least (0.25): at
    # point x after 1 h it goes on at 10 and ends at 14 - x.
    run = WeekPhase("", 4 * HOUR, (), stop_odds=0.5)
    week = Week(
        (Presence("ana", ((0.0, HOUR), (10 * HOUR, 12 * HOUR))),),
        (),
        (WeekJob("1", 0.0, 12 * HOUR, 1.0, (WeekStep("s", None, (run,)),)),),
    )
    assert promised(asked(week, (0,), Spreads())).odds[0] == pytest.approx(0.875, abs=0.01)


def test_the_order_decides_who_is_late() -> None:
    step = WeekStep("s", None, (WeekPhase("", HOUR, ("ana",), spread=0.1),))
    jobs = tuple(WeekJob(f"{k}", 0.0, 1.5 * HOUR, 1.0, (step,)) for k in range(2))
    week = Week((Presence("ana", ((0.0, 1e6),)),), (), jobs)
    first, second = (promised(asked(week, order, Spreads())).odds for order in ((0, 1), (1, 0)))
    assert first[0] > 0.99
    assert first[1] < 0.01
    assert second == pytest.approx(first[::-1], abs=0.01)


def test_without_spread_the_odds_are_nought_or_one_and_nothing_is_drawn() -> None:
    step = WeekStep("s", None, (WeekPhase("", HOUR, ("ana",)),))
    jobs = tuple(WeekJob(f"{k}", 0.0, HOUR, 1.0, (step,)) for k in range(2))
    plan = promised(asked(Week((Presence("ana", ((0.0, 1e6),)),), (), jobs), (1, 0), Spreads()))
    assert (plan.odds, plan.draws) == ((0.0, 1.0), 1)
    assert plan.finish_s == (2 * HOUR, HOUR)


def test_it_stops_when_told_and_needs_an_order() -> None:
    step = WeekStep("s", None, (WeekPhase("", HOUR, ("ana",), spread=0.1),))
    week = asked(Week((Presence("ana", ((0.0, 1e6),)),), (), (WeekJob("1", 0.0, HOUR, 1.0, (step,)),)), (0,), Spreads())
    with pytest.raises(InterruptedError):
        by_policy(week, seed=1, progress=quiet, stop=lambda: True)
    with pytest.raises(ValueError, match="order"):
        promised(replace(week, order=None))
