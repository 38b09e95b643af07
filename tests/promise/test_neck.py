"""What holds a job back: what machines share, too."""

from __future__ import annotations

import numpy as np
import pytest

from steadyrest.desk.which_shop import which_shop
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.neck import neck
from steadyrest.promise.week import Presence, Week, WeekJob, WeekLimit, WeekPhase, WeekStep
from steadyrest.shop.draws import Luck

H = 3600.0


def test_power_that_is_not_enough_for_two_machines_is_named_as_what_holds_back() -> None:
    people = (Presence("ines", ((0.0, 40 * H),)), Presence("ambra", ((0.0, 40 * H),)))
    jobs = tuple(
        WeekJob(name, 0.0, 40 * H, 1.0, (WeekStep("s", machine, (WeekPhase("cut", hours * H, (who,)),)),))
        for name, machine, hours, who in (("1", "mill", 8, "ines"), ("2", "lathe", 4, "ambra"))
    )
    week = Week(people, ("lathe", "mill"), jobs, (WeekLimit("power", 20.0, (("lathe", 11.0), ("mill", 12.0))),))
    order, shop = np.array([0, 1], np.int64), which_shop(None, None).shop
    found = neck(week, draw(week, Luck(10, 1), Spreads()), order, wanted=0.9, shop=shop, bought=False)
    assert found is not None
    assert (found.kind, found.id) == ("shared", "power")
    assert found.gain_s == pytest.approx(8 * H)
