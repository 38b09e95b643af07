"""What a yes costs and until when it may be said: the money is that of the promises, the moment that of the plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from steadyrest.decide.cost_of_yes import cost_of_yes
from steadyrest.promise.answer import Effect, Promise
from steadyrest.promise.promise import promise
from steadyrest.shop.draws import Luck
from steadyrest.wording.say import Reader, say
from tests.promise.sample_shop import DUE, NOW, route, shop


@pytest.fixture(scope="module")
def made() -> Promise:
    return promise(route(), job_id="new", due=DUE, now=NOW, shop=shop(), luck=Luck(64, 1))[0]


def said(made: Promise) -> list[str]:
    return [say(reason, Reader(currency="EUR")) for reason in cost_of_yes(made)]


def test_without_other_promises_a_yes_costs_them_nothing_to_be_said(made: Promise) -> None:
    (until,) = said(replace(made, others=(), yes_by=NOW + timedelta(hours=3)))
    assert until.startswith("the latest moment to say yes is")
    (late,) = said(replace(made, others=(), yes_by=None))
    assert late.startswith("a yes now is too late")


def test_where_the_due_time_is_not_kept_the_last_moment_for_the_later_one_is_said() -> None:
    soon = promise(route(), job_id="new", due=NOW + timedelta(minutes=30), now=NOW, shop=shop(), luck=Luck(64, 1))[0]
    assert soon.yes_by is None
    assert soon.can_promise is not None
    assert soon.later_yes_by is not None
    assert NOW <= soon.later_yes_by < soon.can_promise
    _, later = said(replace(soon, others=()))
    assert later.startswith("the latest moment to say yes is")


def test_what_a_yes_costs_is_the_lateness_of_all_with_the_job_that_bears_most(made: Promise) -> None:
    def other(job: str, late_money: float) -> Effect:
        return Effect(job, "a bush", DUE, 0.95, 0.9, late_money, ())

    cost, _ = said(replace(made, others=(other("7", 12.5), other("8", 30.0), other("9", -2.0))))
    assert "40.50" in cost
    assert "job 8 the most" in cost
    assert "30.00" in cost
    free, _ = said(replace(made, others=(other("7", 0.0),)))
    assert free == "a yes costs the promises already given nothing"
