"""A short form of busy_week.py: a full week of the example shop, looked at from outside, without app and odds."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import numpy as np

from steadyrest.promise.consequences import plan_rows
from steadyrest.promise.durations import Spreads, draw
from steadyrest.promise.shop_week import promised_job, week_of
from steadyrest.promise.week import arrays
from steadyrest.shop.draws import Luck
from steadyrest.shop.shop_file import read_shop
from tests.browser.busy_week import busy_shop, wrong_in_plan
from tests.browser.month import NOW


def test_a_week_of_thirty_jobs_has_nobody_twice_no_machine_twice_and_nobody_out_of_hours() -> None:
    text = busy_shop(7)
    shop = read_shop(text, "busy.toml")
    jobs = tuple(promised_job(work, now=NOW, timezone=shop.timezone) for work in shop.promised)
    week = week_of(shop, jobs, now=NOW, days=35)
    flat, draws = arrays(week), draw(week, Luck(1, 1), Spreads())
    draws = draws._replace(base_s=flat.stated_s[None, :].copy())  # as stated: no run is longer than was said
    rows = plan_rows(week, flat, draws, np.arange(len(jobs), dtype=np.int64), middle=0, now=NOW, new=0)
    told = [
        {"job": row.job, "person": row.person, "machine": row.machine, "start": row.start.isoformat(),
         "end": row.end.isoformat()} for row in rows
    ]  # fmt: skip
    said = tomllib.loads(text)
    assert {row["job"] for row in told} == {job["id"] for job in said["job"]}
    assert list(wrong_in_plan(said | {"job": []}, told)) == []
    late = replace(rows[0], start=rows[0].start.replace(hour=3), end=rows[0].end.replace(hour=4))
    wrong = [told[0] | {"start": late.start.isoformat(), "end": late.end.isoformat()}, *told[1:]]
    assert list(wrong_in_plan(said | {"job": []}, wrong)) != []
