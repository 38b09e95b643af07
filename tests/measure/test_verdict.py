"""What a reading comes to: warmth taken out, uncertainty put together, decided, and what next."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.measure.decision import decide
from steadyrest.measure.verdict import ANSWERS, Taken, at_reference, verdict
from steadyrest.shop.floor import Gauge
from steadyrest.tables.practice import rule
from steadyrest.wording.say import say

NOW = datetime.fromisoformat("2026-11-27T12:10:00+01:00")
LIMITS = (34.984, 35.0)
STEEL_PER_K = 11.7e-6


def gauge(u_mm: float = 0.0014, due: datetime | None = None, name: str = "micrometer") -> Gauge:
    return Gauge(name, name, ("outside",), (25.0, 50.0), u_mm, due)


def taken(*readings: float, u_mm: float = 0.0014, part_c: float | None = None, gauge_c: float | None = None) -> Taken:
    return Taken(readings, gauge(u_mm), LIMITS, STEEL_PER_K, part_c, gauge_c)


def test_the_25_h7_bore_of_the_decision_rule_is_decided_as_the_table_says() -> None:
    # machining.md 5.6, computed there: u 0.002 at 1.65 u accepts 25.0033 to 25.0177.
    bore = Gauge("b", "bore gauge", ("inside",), (18.0, 60.0), 0.002, None)
    for reading, answer in ((25.0034, "right"), (25.0032, "undecided"), (24.9966, "wrong"), (25.0176, "right")):
        assert verdict(Taken((reading,), bore, (25.0, 25.021), STEEL_PER_K), (), now=NOW).answer == answer


def test_forty_kelvin_on_36_5_mm_of_steel_is_17_um() -> None:
    # design.md section 5 (worked out there).
    hot = Taken((36.5,), gauge(), (36.4, 36.5), STEEL_PER_K, 60.0, 20.0)
    size, _, _ = at_reference(hot)
    assert 36.5 - size.value == pytest.approx(0.017, abs=5e-4)


@settings(deadline=None, max_examples=60)
@given(reading=st.floats(34.9, 35.1), warmth=st.floats(5.0, 45.0))
def test_a_steel_gauge_as_warm_as_the_steel_it_measures_reads_as_at_20(reading: float, warmth: float) -> None:
    alike = Taken((reading,), gauge(), LIMITS, rule("gauge_expansion_per_k"), warmth, warmth)
    assert at_reference(alike)[0].value == pytest.approx(reading, abs=1e-9)


@settings(deadline=None, max_examples=80)
@given(reading=st.floats(34.95, 35.03), u=st.floats(1e-4, 0.01))
def test_without_warmth_one_reading_is_decided_by_the_rule_alone(reading: float, u: float) -> None:
    found = verdict(taken(reading, u_mm=u), (), now=NOW)
    assert found.answer == ANSWERS[decide(reading, LIMITS, u)]
    assert (found.answer == "undecided") == bool(found.nexts and found.nexts[0].key != "measure.wrong_next")


@settings(deadline=None, max_examples=60)
@given(readings=st.lists(st.floats(34.98, 35.01), min_size=2, max_size=8))
def test_readings_that_differ_are_less_certain_than_their_gauge(readings: list[float]) -> None:
    _, u_mm, _ = at_reference(taken(*readings))
    mean = math.fsum(readings) / len(readings)
    spread = math.fsum((r - mean) ** 2 for r in readings) / (len(readings) * (len(readings) - 1))
    assert u_mm == pytest.approx(math.sqrt(0.0014**2 + spread), rel=1e-6)


def test_a_gauge_whose_check_is_overdue_decides_nothing_and_says_so() -> None:
    late = Taken((34.992,), gauge(due=NOW - timedelta(days=1)), LIMITS, STEEL_PER_K)
    found = verdict(late, (gauge(0.001, name="passameter"),), now=NOW)
    assert found.answer == "undecided"
    assert found.why[0].key == "measure.overdue_reading"
    assert "passameter" in say(found.nexts[0])
    in_date = Taken((34.992,), gauge(due=NOW + timedelta(days=1)), LIMITS, STEEL_PER_K)
    assert verdict(in_date, (), now=NOW).answer == "right"


def test_an_open_reading_names_the_gauge_that_would_decide_it() -> None:
    found = verdict(taken(34.9865, u_mm=0.004), (gauge(0.0002, name="bench"), gauge(0.0012, name="fine")), now=NOW)
    assert found.answer == "undecided"
    assert "fine" in say(found.nexts[0])  # the coarsest that decides is the quickest
    assert any(reason.key == "measure.ask_then" for reason in found.nexts)


def test_nothing_read_is_our_mistake() -> None:
    with pytest.raises(ValueError, match="no reading"):
        at_reference(taken())
