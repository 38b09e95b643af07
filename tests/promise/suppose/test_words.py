"""A change in words is read as meant, or refused in one line."""

from __future__ import annotations

import contextlib
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.promise.asked import read_week
from steadyrest.promise.suppose.change import Away, Drop, Due, Extra, Outside, Stands
from steadyrest.promise.suppose.words import read_change
from steadyrest.trouble import BadInput

WEEK = """
now = 2026-03-02T07:00:00+01:00
[[person]]
id = "ana"
hours = [[2026-03-02T08:00:00+01:00, 2026-03-02T16:00:00+01:00]]
[[machine]]
id = "big mill"
[[job]]
id = "214"
due = 2026-03-02T15:00:00+01:00
[[job.step]]
id = "turn"
machine = "big mill"
[[job.step.phase]]
duration_s = 600
who = ["ana"]
"""
ASKED = read_week(WEEK, "week.toml")
HOUR = 3600.0


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("drop 214", Drop("214")),
        ("ana in 17:00 to 20:30", Extra("ana", 10 * HOUR, 13.5 * HOUR)),
        ("ana in 17:00 to 20:30 cost 168", Extra("ana", 10 * HOUR, 13.5 * HOUR, Decimal(168))),
        ("ana in 06:00 to 08:00", Extra("ana", 23 * HOUR, 25 * HOUR)),
        ("ana away 2026-03-02T05:00+01:00 to 12:00", Away("ana", 0.0, 5 * HOUR)),
        ("'big mill' down 22:00 to 06:00", Stands("big mill", 15 * HOUR, 23 * HOUR)),
        ("214 due 2026-03-03T12:00+00:00", Due("214", 30 * HOUR)),
        ("214 outside turn 2 days cost 90.00", Outside("214", "turn", 48 * HOUR, Decimal("90.00"))),
    ],
)
def test_a_change_is_read_as_meant(said: str, meant: object) -> None:
    assert read_change(said, ASKED) == meant


REFUSED = """
drop
drop 999
ana in 17:00
ana in 25:00 to 26:00
ana away 17:00 to 18:00 cost 4
bob in 17:00 to 18:00
'big mill down 22:00 to 06:00
214 due 2026-03-03T12:00
214 due 9999-12-31T23:59-23:59x
214 outside mill 2 days
214 outside turn -1 days
214 outside turn 2 days cost nan
ana in 2026-03-02T18:00+01:00 to 2026-03-02T17:00+01:00
""".splitlines()


@pytest.mark.parametrize("said", REFUSED)
def test_what_cannot_be_meant_is_refused_in_one_line_that_says_what_to_do(said: str) -> None:
    with pytest.raises(BadInput) as fault:
        read_change(said, ASKED)
    assert fault.value.do
    assert "\n" not in str(fault.value)


WORDS = (
    *(
        "drop",
        "214",
        "ana",
        "in",
        "away",
        "to",
        "down",
        "due",
        "outside",
        "turn",
        "days",
        "cost",
        "5",
        "17:00",
        "06:00",
    ),
    *("2026-03-02T22:00+01:00", "0001-01-01T00:00+14:00", "9999-12-31T23:59-14:00", "1e999", "'", "'big mill'"),
)


@given(st.lists(st.sampled_from(WORDS) | st.text(max_size=8), max_size=8).map(" ".join))
def test_any_words_give_a_change_or_one_line(said: str) -> None:
    with contextlib.suppress(BadInput):
        assert read_change(said, ASKED)
