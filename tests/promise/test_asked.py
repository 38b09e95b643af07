"""A request of `steadyrest promise` is read as it is meant, or refused with the place."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from steadyrest.promise.asked import read_week
from steadyrest.promise.durations import Spreads
from steadyrest.promise.week import Week
from steadyrest.trouble import BadInput
from tests.promise.asked_weeks import request_of, toml_of
from tests.promise.weeks import HOUR, weeks

SMALL = """
now = 2026-03-02T07:00:00+01:00
[[person]]
id = "ana"
hours = [[2026-03-02T06:00:00+01:00, 2026-03-02T12:00:00+01:00], [2026-03-01T07:00:00+01:00, 2026-03-01T12:00:00+01:00]]
[[machine]]
id = 4
[[job]]
id = 17
due = 2026-03-02T11:00:00+00:00
[[job.step]]
id = "turn"
machine = 4
[[job.step.phase]]
duration_s = 600
who = ["ana"]
[[job]]
id = "18"
release = 2026-03-02T08:00:00+01:00
due = 2026-03-02T06:00:00+01:00
weight = 3
[[job.step]]
id = "saw"
[[job.step.phase]]
duration_s = 60
who = []
[policy]
order = ["18"]
[spread]
job = 0.2
"""


@settings(deadline=None, max_examples=15)
@given(week=weeks())
def test_a_week_written_out_is_read_back_the_same(week: Week) -> None:
    read = read_week(toml_of(request_of(week)), "week.toml").week
    assert read.people == week.people
    assert read.machines == week.machines
    for one, other in zip(read.jobs, week.jobs, strict=True):
        assert (one.id, one.release_s, one.due_s, one.weight) == (other.id, other.release_s, other.due_s, other.weight)
    told = [(j.id, s.id, s.machine, p.duration_s, p.who, p.interruptible, p.max_wait_s) for j, s, p in week.phases()]
    assert told == [
        (j.id, s.id, s.machine, p.duration_s, p.who, p.interruptible, p.max_wait_s) for j, s, p in read.phases()
    ]


def test_times_count_from_now_hours_gone_are_left_out_and_who_is_not_named_comes_last() -> None:
    asked = read_week(SMALL, "week.toml")
    assert asked.week.people[0].stretches_s == ((0.0, 5 * HOUR),)
    assert asked.week.machines == ("4",)
    assert [(job.id, job.release_s, job.due_s, job.weight) for job in asked.week.jobs] == [
        ("17", 0.0, 5 * HOUR, 1.0),
        ("18", HOUR, -HOUR, 3.0),
    ]
    assert asked.order == (1, 0)
    assert asked.spreads == Spreads(job=0.2)
    assert asked.uncertain


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (SMALL, "", "empty"),
        ("now = 2026-03-02T07:00:00+01:00", "", "now"),
        ("now = 2026-03-02T07:00:00+01:00", "now = 2026-03-02T07:00:00", "offset"),
        ('who = ["ana"]', 'who = ["bo"]', "no person"),
        ('who = ["ana"]', 'who = "ana"', "no list"),
        ("machine = 4", "machine = 5", "no machine"),
        ('id = "18"', "id = 17", "2 times"),
        ("duration_s = 600", "duration_s = -1", "out of range"),
        ("duration_s = 600", "", "duration_s is missing"),
        ("duration_s = 600", "duration_s = nan", "not a number"),
        ("hours = [[2026-03-02T06:00:00+01:00", "hours = [[2026-03-02T13:00:00+01:00", "not after"),
        ('order = ["18"]', 'order = ["19"]', "no job"),
        ("2026-03-01T12:00:00+01:00", "2026-03-02T07:30:00+01:00", "overlap"),
        ("job = 0.2", "job = -0.2", "out of range"),
        ('[[job.step]]\nid = "saw"\n[[job.step.phase]]\nduration_s = 60\nwho = []\n', "", "no steps"),
        ("[[job.step.phase]]\nduration_s = 60\nwho = []\n", "", "no phases"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_its_place(old: str, new: str, said: str) -> None:
    with pytest.raises(BadInput) as trouble:
        read_week(SMALL.replace(old, new), "week.toml")
    assert said in trouble.value.line()
    assert trouble.value.line().startswith("week.toml")
