"""Drawn durations: what is fixed, what moves together, and that luck belongs to names, not to places."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.week import Presence, Week, WeekJob, WeekPhase, WeekStep
from steadyrest.shop.draws import Luck

LUCK = Luck(4000, 8)
SPREADS = Spreads(shop_ratio=1.1, shop=0.1, job=0.2, person={"ada": (0.9, 0.15)})


def job(name: str, *phases: WeekPhase) -> WeekJob:
    return WeekJob(name, 0.0, 1.0, 1.0, (WeekStep("1", None, phases),))


def week(*jobs: WeekJob) -> Week:
    return Week((Presence("ada", ((0.0, 1e9),)),), (), jobs)


RUN = WeekPhase("run", 100.0, ())
UNSURE = WeekPhase("run", 100.0, (), spread=0.3)
HANDS = WeekPhase("hands", 100.0, ("ada",), spread=0.3)


def test_a_program_with_neither_spread_nor_person_takes_as_long_as_it_takes() -> None:
    drawn = draw(week(job("1", RUN, UNSURE)), LUCK, SPREADS)
    assert (drawn.base_s[:, 0] == 100.0).all()
    assert drawn.base_s[:, 1].std() > 0


def test_the_middle_is_the_stated_time_in_the_shops_and_the_persons_usual_ratio() -> None:
    drawn = draw(week(job("1", HANDS)), LUCK, SPREADS)
    took = drawn.base_s[:, 0] * drawn.person[:, 0]
    assert np.median(took) == pytest.approx(100 * 1.1 * 0.9, rel=0.02)
    spread = math.sqrt(0.1**2 + 0.2**2 + 0.15**2 + 0.3**2)
    assert np.log(took).std() == pytest.approx(spread, rel=0.03)


def test_phases_of_one_job_go_wrong_together_more_than_phases_of_two() -> None:
    drawn = np.log(draw(week(job("1", HANDS, HANDS), job("2", HANDS)), LUCK, SPREADS).base_s)
    same, other = np.corrcoef(drawn[:, 0], drawn[:, 1])[0, 1], np.corrcoef(drawn[:, 0], drawn[:, 2])[0, 1]
    # Common variance over the whole: shop and job, or shop alone.
    whole = 0.1**2 + 0.2**2 + 0.3**2
    assert same == pytest.approx((0.1**2 + 0.2**2) / whole, abs=0.05)
    assert other == pytest.approx(0.1**2 / whole, abs=0.05)


def test_a_jobs_luck_does_not_depend_on_who_else_is_in_the_week() -> None:
    alone = draw(week(job("1", HANDS)), LUCK, SPREADS)
    among = draw(week(job("0", HANDS), job("1", HANDS), job("2", HANDS)), LUCK, SPREADS)
    assert np.array_equal(alone.base_s[:, 0], among.base_s[:, 1])


def test_a_run_stops_as_often_as_it_is_said_to_and_anywhere_on_its_way() -> None:
    drawn = draw(week(job("1", WeekPhase("run", 100.0, (), stop_odds=0.3))), LUCK, SPREADS).stop_at[:, 0]
    stopped = drawn[drawn >= 0]
    assert stopped.size / LUCK.count == pytest.approx(0.3, abs=0.001)
    assert np.quantile(stopped, [0.25, 0.5, 0.75]) == pytest.approx([0.25, 0.5, 0.75], abs=0.01)


def test_what_passes_outside_the_shop_is_not_stretched_by_the_shop_s_own_bias() -> None:
    away = WeekPhase("away", 100.0, (), spread=0.3, elsewhere=True)
    drawn = np.log(draw(week(job("1", away, UNSURE)), LUCK, SPREADS).base_s)
    assert np.median(drawn[:, 0]) == pytest.approx(math.log(100.0), abs=0.01)
    assert drawn[:, 0].std() == pytest.approx(0.3, rel=0.03)
    assert np.median(drawn[:, 1]) == pytest.approx(math.log(110.0), abs=0.01)
