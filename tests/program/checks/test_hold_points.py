"""Hold points: what a check in the program tests, and the dynamic programme against every choice there is."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.checks import hold_points
from steadyrest.program.checks.hold_advice import advised
from steadyrest.program.checks.hold_points import Boundary, expected_cost, found, where_it_pays
from steadyrest.program.night.stretches import stretches
from steadyrest.program.night.survival import Edge
from steadyrest.program.night.tool_life import prior_life
from tests.program.hand_runs import run_of, times, turned_parts

LAW = settings(deadline=None)

BASE = [("tool", 1), ("feed", 0, 0, -50), ("tool", 2), ("feed", 5, 0, 0)]


@st.composite
def cases(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, list[Boundary], float]:
    n = draw(st.integers(1, 6))
    shares = st.floats(0, 1)
    fails = np.array(draw(st.lists(st.floats(0, 0.3), min_size=n, max_size=n)))
    on_s = np.array(draw(st.lists(st.floats(0, 300), min_size=n, max_size=n)))
    boundaries = [
        Boundary(
            draw(st.floats(0, 60)),
            np.array([draw(shares) if j <= k else 0.0 for j in range(n)]),
            found_s=draw(st.floats(0, 20)),
        )
        for k in range(n)
    ]
    return fails, on_s, boundaries, draw(st.floats(20, 3000))


def cost_by_hand(at, fails, on_s, boundaries, scrap_s: float) -> float:
    """Expected cost told stretch by stretch: each possible first failure by itself, each check's chance in turn."""
    n = len(fails)
    total, well = 0.0, 1.0
    for k in range(n):
        well *= 1 - fails[k]
        if k in at:
            total += well * boundaries[k].check_s
    before = 1.0
    for failed in range(n):
        share = before * fails[failed]
        before *= 1 - fails[failed]
        unfound, cost = 1.0, 0.0
        for k in range(failed, n):
            if k > failed:
                cost += unfound * on_s[k]
            if k in at:
                caught = boundaries[k].catches[failed]
                cost += unfound * (boundaries[k].check_s + caught * boundaries[k].found_s)
                unfound *= 1 - caught
        total += share * (cost + unfound * scrap_s)
    return total


@LAW
@given(case=cases())
def test_the_cost_is_the_sum_over_every_way_to_fail(case) -> None:
    fails, on_s, boundaries, scrap_s = case
    for count in range(len(fails) + 1):
        for at in combinations(range(len(fails)), count):
            told = expected_cost(at, fails, on_s, boundaries, scrap_s=scrap_s)
            assert told == pytest.approx(cost_by_hand(at, fails, on_s, boundaries, scrap_s), rel=1e-9, abs=1e-9)


@LAW
@given(case=cases())
def test_no_choice_of_checks_is_cheaper_than_the_one_told(case) -> None:
    fails, on_s, boundaries, scrap_s = case
    told = where_it_pays(fails, on_s, boundaries, scrap_s=scrap_s)
    every = [
        expected_cost(at, fails, on_s, boundaries, scrap_s=scrap_s)
        for count in range(len(fails) + 1)
        for at in combinations(range(len(fails)), count)
    ]
    assert told.exact
    assert told.cost_s == pytest.approx(min(every), rel=1e-9, abs=1e-9)
    assert told.without_s == pytest.approx(every[0])


def test_twelve_boundaries_against_all_4096_choices() -> None:
    generator = np.random.default_rng(4)
    n = 12
    fails, on_s = generator.uniform(0, 0.05, n), generator.uniform(10, 200, n)
    boundaries = [Boundary(12.0, np.tril(np.full((n, n), 0.9))[k] * generator.integers(0, 2, n)) for k in range(n)]
    told = where_it_pays(fails, on_s, boundaries, scrap_s=2000.0)
    best = min(
        expected_cost(at, fails, on_s, boundaries, scrap_s=2000.0)
        for count in range(n + 1)
        for at in combinations(range(n), count)
    )
    assert told.cost_s == pytest.approx(best)
    assert told.exact


def test_where_not_every_way_is_kept_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hold_points, "MOST_WAYS", 2)
    n = 6
    boundaries = [Boundary(5.0, np.eye(n)[k] * 0.8) for k in range(n)]
    told = where_it_pays(np.full(n, 0.1), np.full(n, 50.0), boundaries, scrap_s=500.0)
    assert not told.exact


def test_lengths_that_differ_are_refused() -> None:
    with pytest.raises(ValueError, match="boundaries"):
        where_it_pays(np.zeros(2), np.zeros(2), [], scrap_s=1.0)


def test_a_check_tests_what_was_cut_since_the_one_before() -> None:
    run = run_of([*BASE, ("check", 1.0), ("feed", 9, 0, 0), ("check", 1.0)])
    first, second = found(run)
    assert (first.line, first.after_tool, first.tools, first.stops) == (5, 2, (1, 2), True)
    assert second.tools == (2,)
    assert first.checks.key == "hold.stops"


def test_a_check_that_only_records_catches_nothing_and_takes_nothing_from_the_next() -> None:
    run = run_of([*BASE, ("check", 0.0), ("check", 1.0)])
    records, stops = found(run)
    assert (records.stops, records.checks.key) == (False, "hold.records")
    assert stops.tools == (1, 2)


def test_a_check_before_anything_is_cut_tests_no_tool() -> None:
    (one,) = found(run_of([("check", 1.0), *BASE]))
    assert (one.after_tool, one.tools, one.checks.key) == (0, (), "hold.nothing")


def test_a_check_in_a_repeated_part_is_told_once_a_line() -> None:
    run = turned_parts(3, check=True)
    assert len(found(run)) == 3  # made by hand, each repeat has lines of its own
    assert all(one.tools == (1, 2) for one in found(run))


def test_a_probing_move_is_seen_to_touch() -> None:
    (one,) = found(run_of([*BASE, ("tool", 9), ("probe", 5, 0, 5), ("check", 1.0)]))
    assert one.probes
    assert one.after_tool == 2


@pytest.mark.parametrize(
    ("at", "tested"),
    [((10.0, 9.0), (2,)), ((10.0, 4.5), (1,)), ((60.0, 60.0), (1, 2))],
    ids=["in the wider hole", "where only the slot was cut", "where nothing was cut"],
)
def test_where_the_probe_touches_tells_whose_work_it_tests(at: tuple[float, float], tested: tuple[int, ...]) -> None:
    # A slot of 6 along X, then a hole of 16 over its middle; the probe touches at one place and no other.
    steps = [
        ("tool", 1), ("rapid", 0, 0, 5), ("feed", 0, 0, -4), ("feed", 40, 0, -4), ("rapid", 40, 0, 50),
        ("tool", 2), ("rapid", 10, 8, 5), ("feed", 10, 8, -4), ("rapid", 10, 8, 50),
        ("tool", 9), ("probe", *at, -3), ("check", 1.0),
    ]  # fmt: skip
    if tested == (1,):
        steps = [step for step in steps if step not in (("feed", 10, 8, -4),)]
    (one,) = found(run_of(steps), {1: 3.0, 2: 8.0})
    assert one.tools == tested
    assert one.checks.key == ("hold.touches" if len(tested) == 1 else "hold.stops")


def test_checks_are_advised_where_a_worn_tool_would_go_unseen_and_not_for_fresh_ones() -> None:
    run = turned_parts(40)
    told = stretches(run, times(run))
    life = prior_life(2000.0, tool="drill", made_of="hss")
    worn = {1: Edge(1, life, 1900.0, 2000.0), 2: Edge(2, life, 0.0, 2000.0)}
    assert 1 in [one.tool for one in advised(told, worn, ())]
    easy = prior_life(1e6, tool="turning")
    fresh = {n: Edge(n, easy, 0.0, 1e6) for n in (1, 2)}
    assert advised(told, fresh, ()) == ()
    assert advised((), fresh, ()) == ()


def test_what_the_program_checks_already_is_not_advised_again() -> None:
    run = turned_parts(40, check=True)
    told = stretches(run, times(run))
    life = prior_life(4000.0, tool="drill", made_of="hss")
    edges = {n: Edge(n, life, 3900.0, 4000.0) for n in (1, 2)}
    assert all(one.tool != 2 for one in advised(told, edges, found(run)))
