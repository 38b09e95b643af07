"""What a remnant is worth, against value iteration, closed forms, and laws."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.keep import Demand, KeepWanted, Remnant, worths
from steadyrest.trouble import BadInput
from tests.oracles.slow_keep import slow_worth

ONE = KeepWanted(12, 0.1, 0.0, 2.0, 0.05, 4.0, 0.004, (Demand(100.0, 1.0),), (Remnant("R", 100.0),), "EUR")


def worth(wanted: KeepWanted, *lengths: float) -> list[float]:
    pieces = tuple(Remnant(f"R{k}", mm) for k, mm in enumerate(lengths))
    return [one.value for one in worths(replace(wanted, pieces=pieces))]


def test_one_demand_that_fits_once_is_its_saving_discounted_to_when_it_comes():
    # Closed form: waiting for an event of rate lam at discount r multiplies by lam / (lam + r).
    assert worth(ONE, 100.0)[0] == pytest.approx((0.05 * 100 + 4) * 12 / 12.1)


def test_two_demands_one_after_the_other():
    saving, wait = 0.05 * 100 + 4, 12 / 12.1
    assert worth(ONE, 202.0)[0] == pytest.approx(saving * wait * (1 + wait))


def test_a_piece_too_short_for_any_demand_is_scrap():
    assert worth(ONE, 99.9)[0] == pytest.approx(0.004 * 99.9)


def test_keeping_that_costs_more_than_it_saves_is_scrap():
    assert worth(replace(ONE, hold_per_year=200.0), 100.0)[0] == pytest.approx(0.4)


@st.composite
def shops(draw):
    count = draw(st.integers(1, 5))
    lengths = draw(st.lists(st.integers(20, 400), min_size=count, max_size=count, unique=True))
    weights = [draw(st.integers(1, 9)) for _ in lengths]
    total = sum(weights) * draw(st.sampled_from([1.0, 1.25]))
    return KeepWanted(
        demands_per_year=draw(st.floats(0.5, 60)),
        discount_per_year=draw(st.floats(0.02, 0.5)),
        hold_per_year=draw(st.floats(0, 5)),
        kerf_mm=draw(st.sampled_from([0.0, 1.5, 2.0])),
        new_per_mm=draw(st.floats(0.001, 0.2)),
        saved_each=draw(st.floats(0, 10)),
        scrap_per_mm=draw(st.floats(0, 0.01)),
        demands=tuple(Demand(float(mm), weight / total) for mm, weight in zip(lengths, weights, strict=True)),
        pieces=(),
        currency="EUR",
    )


@settings(max_examples=60, deadline=None)
@given(shops(), st.lists(st.integers(0, 8000).map(lambda tenth: tenth / 10), min_size=1, max_size=4))
def test_it_agrees_with_value_iteration(shop, lengths):
    assert worth(shop, *lengths) == pytest.approx([slow_worth(shop, mm) for mm in lengths], rel=1e-6, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(shops(), st.integers(0, 900), st.integers(0, 300))
def test_never_less_than_scrap_and_never_more_than_all_it_could_save(shop, length, more):
    low, high = worth(shop, float(length), float(length + more))
    assert low >= shop.scrap_per_mm * length - 1e-9
    fewest = min(demand.length_mm for demand in shop.demands)
    most = shop.new_per_mm * (length + more) + shop.saved_each * ((length + more) // fewest)
    assert high <= max(most, 0) + shop.scrap_per_mm * (length + more) + 1e-9


def test_the_keep_line_is_where_waiting_beats_scrap():
    found = worths(replace(ONE, pieces=(Remnant("short", 90.0), Remnant("long", 100.0))))
    assert [one.keep for one in found] == [False, True]


def test_lengths_too_fine_to_count_through_are_refused():
    with pytest.raises(BadInput, match="too fine"):
        worth(ONE, 123456.123457)
