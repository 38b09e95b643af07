"""When bought material is here."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from steadyrest.promise.arrival import arrival, delivery
from steadyrest.shop.draws import Luck
from tests.promise.sample_shop import NOW, STEEL, route, shop

ZONE = ZoneInfo("Europe/Vienna")


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 11, day, hour, minute, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("now", "cut_off", "here", "late"),
    [
        (at(25, 13, 59), at(25, 14), at(26, 9), at(27, 9)),  # Wednesday, just before the cut-off
        (at(25, 14), at(26, 14), at(27, 9), at(30, 9)),  # at the cut-off it is too late; a day late is past the weekend
        (at(27, 12), at(27, 14), at(30, 9), datetime(2026, 12, 1, 9, tzinfo=ZONE)),  # Friday to Monday
        (at(28, 10), at(30, 14), datetime(2026, 12, 1, 9, tzinfo=ZONE), datetime(2026, 12, 2, 9, tzinfo=ZONE)),
    ],
)
def test_orders_go_out_before_the_cut_off_and_come_on_working_days(now, cut_off, here, late) -> None:
    assert delivery(STEEL, now=now, timezone="Europe/Vienna") == (cut_off, here, late)


def test_the_delay_comes_as_often_as_the_supplier_is_late_and_the_likely_time_is_without_it() -> None:
    got = arrival(route(bought=True).buy, now=NOW, shop=shop(), luck=Luck(1000, 7))
    assert got is not None
    assert got.likely == at(30, 9)
    late = got.draws_s > (got.likely - NOW).total_seconds()
    assert late.sum() == pytest.approx(1000 * STEEL.delay_odds, abs=1)


def test_nothing_bought_means_nothing_to_wait_for() -> None:
    assert arrival((), now=NOW, shop=shop(), luck=Luck(10, 1)) is None
