"""Good parts by morning: against closed forms, and what changing a tool saves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.night.stretches import part_ends, stretches
from steadyrest.program.night.survival import Edge, edges_of, good_parts, night
from steadyrest.program.night.tool_life import EdgeLife, prior_life
from steadyrest.program.run import EventKind
from steadyrest.shop.draws import Luck
from steadyrest.shop.leaving import LeavingTool
from steadyrest.tables import leaving
from tests.program.hand_runs import run_of, times, turned_parts

LAW = settings(deadline=None)

LUCK = Luck(4000, 5)


def sure(shape: float, scale_s: float) -> EdgeLife:
    """A Weibull known for certain."""
    return EdgeLife(np.array([shape]), np.array([scale_s]), np.array([1.0]))


@pytest.fixture
def no_other_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    real = leaving.alone_figure
    monkeypatch.setattr(
        "steadyrest.program.night.survival.alone_figure", lambda name: 1e12 if name == "stop_hours" else real(name)
    )


def test_stretches_add_up_to_the_time_in_the_cut_and_parts_end_where_the_bar_is_pulled() -> None:
    run = turned_parts(5)
    told = stretches(run, times(run))
    assert len(told) == 10
    assert [one.part for one in told] == [0, 0, 1, 1, 2, 2, 3, 3, 4, 4]
    assert [one.tool for one in told] == [1, 2] * 5
    cut = (run.moves.motion != 0) & (run.moves.tool > 0)
    assert sum(one.cut_s for one in told) == pytest.approx(float(times(run)[cut].sum()))
    assert all(one.begins_s < one.ends_s for one in told)
    assert len(part_ends(run)) == 5


def test_a_bar_pulled_before_the_first_cut_ends_no_part() -> None:
    run = run_of([("bar", 1.0), ("tool", 1), ("feed", 0, 0, -100), ("bar", 1.0), ("feed", 0, 0, 0)])
    assert [one.part for one in stretches(run, times(run))] == [0, 1]


def test_good_parts_of_an_edge_that_fails_by_chance_alone_follow_the_closed_form(no_other_stops: None) -> None:
    # Shape 1: the chance p of one part is the same for each; mean of n parts is p (1 - p^n) / (1 - p).
    run = turned_parts(20, tools=(1,))
    told = stretches(run, times(run))
    p = math.exp(-told[0].cut_s / 900.0)
    edge = Edge(1, sure(1.0, 900.0), used_s=500.0, life_s=900.0)
    good = night(told, {1: edge}, luck=LUCK).good
    assert good.mean == pytest.approx(p * (1 - p**20) / (1 - p), rel=0.03)
    assert good.whole == pytest.approx(p**20, abs=0.02)
    # Medians of a geometric count: the most n with p^n still at least a half, nine tenths.
    assert good.p50 == pytest.approx(math.floor(math.log(0.5) / math.log(p)), abs=1)
    assert good.p90 == pytest.approx(math.floor(math.log(0.9) / math.log(p)), abs=1)


@LAW
@given(used_s=st.floats(0, 1500), count=st.integers(1, 12), seed=st.integers(0, 50))
def test_what_is_kept_more_often_is_less(used_s: float, count: int, seed: int) -> None:
    run = turned_parts(count)
    told = stretches(run, times(run))
    edges = {n: Edge(n, prior_life(1500.0, tool="turning"), used_s, 1500.0) for n in (1, 2)}
    result = night(told, edges, luck=Luck(200, seed))
    assert 0 <= result.good.p90 <= result.good.p50 <= result.good.parts == count
    assert all(0 <= one.lasts <= 1 for one in result.edges)


def test_the_worn_tool_is_the_one_to_change_and_the_words_say_so() -> None:
    run = turned_parts(10)
    told = stretches(run, times(run))
    life = prior_life(1500.0, tool="turning")
    edges = {1: Edge(1, life, 0.0, 1500.0), 2: Edge(2, life, 1450.0, 1500.0)}
    result = night(told, edges, luck=LUCK)
    assert [tool for tool, _ in result.changes] == [2]
    assert result.changes[0][1] > result.good.mean
    assert result.before_leaving[0].key == "night.change_tool"
    fresh = {1: edges[1], 2: Edge(2, life, 0.0, 1500.0)}
    assert night(told, fresh, luck=LUCK).changes == ()
    assert night(told, fresh, luck=LUCK).good.mean == pytest.approx(result.changes[0][1])


def test_a_stop_in_the_program_ends_the_good_parts_till_somebody_comes(no_other_stops: None) -> None:
    run = turned_parts(10)
    told = stretches(run, times(run))
    edges = {1: Edge(1, sure(5.0, 1e9), 0.0, 1e9)}
    for part in (0, 3, 9):
        at_s = next(one.begins_s for one in told if one.part == part)
        assert night(told, edges, luck=LUCK, stop_after_s=at_s).good.p50 == part
    assert night(told, edges, luck=LUCK).good.p90 == 10
    assert night(told, edges, luck=LUCK, stop_after_s=told[-1].ends_s).good.p90 == 10


def test_stops_for_other_reasons_follow_what_was_seen() -> None:
    run = turned_parts(30)
    told = stretches(run, times(run))
    often = night(told, {}, luck=LUCK, stops_seen=(20.0, 20.0)).good
    never = night(told, {}, luck=LUCK, stops_seen=(0.0, 500.0)).good
    assert often.mean < never.mean
    # Gamma-Poisson: 1 + 20 stops in 60 + 20 hours.
    hours = told[-1].ends_s / 3600
    assert often.whole == pytest.approx(math.exp(-hours * 21 / 80), abs=0.02)


def test_a_tool_without_a_written_life_and_a_probe_are_left_out() -> None:
    tools = (
        LeavingTool(1, kind="drill", life_s=900.0, used_s=10.0),
        LeavingTool(2, kind="drill"),
        LeavingTool(3, kind="probe", role="probe", life_s=100.0),
    )
    assert list(edges_of(tools)) == [1]


def test_nothing_cut_is_no_good_part() -> None:
    run = run_of([("tool", 1), ("rapid", 1, 0, 0)])
    result = night(stretches(run, times(run)), {}, luck=LUCK)
    assert (result.good.parts, result.good.p50, result.good.mean) == (1, 0, 0.0)
    assert EventKind.TOOL_CHANGE in {event.kind for event in run.events}


@LAW
@given(drawn=st.lists(st.integers(0, 9), min_size=1, max_size=60))
def test_the_parts_told_are_reached_at_least_as_often_as_told(drawn: list[int]) -> None:
    told = good_parts(np.array(drawn), 9)
    assert np.mean(np.array(drawn) >= told.p90) >= 0.9 - 1e-9
    assert np.mean(np.array(drawn) >= told.p50) >= 0.5 - 1e-9
