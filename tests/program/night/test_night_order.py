"""Night order: the index against every order there is, one machine and several."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.night import night_order
from steadyrest.program.night.night_order import NightRun, expected_value, index, night_plan, one_machine
from tests.oracles import night_orders

LAW = settings(deadline=None)

VALUES = st.floats(0.1, 100)
ODDS = st.floats(0.05, 1.0)
TIMES = st.floats(1, 100)


def runs_of(rows: list[tuple[float, float, float]]) -> list[NightRun]:
    return [NightRun(f"P{k}", value, runs_s, (("mill", odds),)) for k, (value, odds, runs_s) in enumerate(rows)]


@LAW
@given(rows=st.lists(st.tuples(VALUES, ODDS, TIMES), max_size=5))
def test_the_index_is_the_best_of_every_order(rows) -> None:
    runs = runs_of(rows)
    told = one_machine(runs, "mill")
    best = night_orders.best([r[0] for r in rows], [r[1] for r in rows], [r[2] for r in rows], math.inf)
    assert expected_value(told, "mill", night_s=math.inf) == pytest.approx(best)
    assert len(told) == len(runs)  # without a morning no run is worth leaving out
    assert [index(r.value, r.chance("mill") or 0) for r in told] == sorted(
        (index(r.value, r.chance("mill") or 0) for r in told), reverse=True
    )


@LAW
@given(rows=st.lists(st.tuples(VALUES, ODDS, TIMES), max_size=5), night_s=st.floats(10, 200))
def test_before_a_morning_it_is_the_best_of_every_choice_and_order(rows, night_s: float) -> None:
    told = one_machine(runs_of(rows), "mill", night_s=night_s)
    best = night_orders.best([r[0] for r in rows], [r[1] for r in rows], [r[2] for r in rows], night_s)
    assert expected_value(told, "mill", night_s=night_s) == pytest.approx(best)


@LAW
@given(
    rows=st.lists(st.tuples(VALUES, TIMES, st.none() | ODDS, st.none() | ODDS), max_size=4),
    night_s=st.floats(10, 200),
)
def test_two_machines_share_as_well_as_every_sharing(rows, night_s: float) -> None:
    runs = [
        NightRun(f"P{k}", value, runs_s, tuple((m, p) for m, p in (("mill", a), ("lathe", b)) if p is not None))
        for k, (value, runs_s, a, b) in enumerate(rows)
    ]
    told = night_plan(runs, ["mill", "lathe"], night_s=night_s)
    best = night_orders.best_shared([r[0] for r in rows], [(r[2], r[3]) for r in rows], [r[1] for r in rows], night_s)
    assert told.exact
    assert told.value == pytest.approx(best)
    names = [name for _, order in told.order for name in order]
    assert len(names) == len(set(names))


@LAW
@given(seed=st.integers(0, 30))
def test_sharing_out_step_by_step_comes_close_to_the_whole_search(seed: int) -> None:
    import numpy as np

    generator = np.random.default_rng(seed)
    runs = [
        NightRun(
            f"P{k}",
            float(generator.uniform(1, 50)),
            float(generator.uniform(5, 60)),
            (("a", float(generator.uniform(0.5, 1))), ("b", float(generator.uniform(0.5, 1)))),
        )
        for k in range(6)
    ]
    exact = night_plan(runs, ["a", "b"], night_s=120.0)
    options = [("", "a", "b")] * len(runs)
    shared = night_order.improved(runs, options, ["a", "b"], 120.0)
    assert exact.exact
    assert night_order.worth(runs, shared, ["a", "b"], 120.0) >= 0.9 * exact.value


def test_a_large_night_says_that_it_was_not_searched_whole() -> None:
    runs = [NightRun(f"P{k}", 1.0 + k, 10.0, (("a", 0.9), ("b", 0.8), ("c", 0.7))) for k in range(12)]
    told = night_plan(runs, ["a", "b", "c"], night_s=60.0)
    assert not told.exact
    assert sum(len(order) for _, order in told.order) == 12


def test_a_run_that_never_stops_goes_first() -> None:
    assert index(1.0, 1.0) == math.inf
    runs = runs_of([(100.0, 0.5, 1.0), (1.0, 1.0, 1.0)])
    assert [run.name for run in one_machine(runs, "mill")] == ["P1", "P0"]
