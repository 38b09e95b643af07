"""The shop's own week: what longer hours cost there is known, so no way is told as if they were free."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal

from steadyrest.promise.own_week import own_week
from steadyrest.promise.suppose.change import Away, Extra
from steadyrest.promise.suppose.offers import own_offers
from steadyrest.promise.suppose.supposed import suppose
from steadyrest.shop.floor import PromisedPhase
from tests.promise.sample_shop import HOUR, NOW, OWNER, shop, work

DUE = datetime.fromisoformat("2026-11-28T13:30+01:00") + timedelta(hours=0)


def test_an_hour_more_costs_what_that_person_costs_and_dear_hours_are_not_worth_a_cheap_delay() -> None:
    def ways(late: str) -> list[tuple[Decimal, bool, int]]:
        one = work("1", DUE, PromisedPhase("bench", ("ada",), 6 * HOUR, 0.1, True), late=late)
        here = replace(shop(promised=(one,)), people=(OWNER,))
        week = own_week(here, now=NOW, seed=1, stop=lambda: False)
        assert week is not None
        found = suppose(week.asked, (Away("ada", 20 * HOUR, 24 * HOUR),), own_offers(here), week.asked.order or (),
                        seed=1, progress=lambda _what, _share: None, stop=lambda: False)  # fmt: skip
        return [(way.cost, way.known, sum(isinstance(c, Extra) for c in way.changes)) for way in found.ways]

    dear, cheap = ways("500.00"), ways("0.50")
    assert all(known for _, known, _ in (*dear, *cheap))
    assert all(cost == 2 * n * OWNER.per_hour for cost, _, n in (*dear, *cheap))
    assert dear[0][2] >= 1
    assert cheap[0][2] == 0
