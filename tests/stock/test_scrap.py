"""Scrap: fetched as often as brings most, by trying every day; apart only where that pays; bulk by the table."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.scrap import HaulWanted, Heap, hauls
from steadyrest.tables.chips import chip_bulks


def year(heap: Heap, wanted: HaulWanted, days: float) -> float:
    """What a year brings if it is fetched every so many days: by the words of the module alone."""
    t = days / 365.25
    return heap.per_year_kg * heap.price_per_kg * (1 - wanted.discount_per_year * t / 2) - wanted.haul_cost / t


@settings(max_examples=30)
@given(
    st.floats(10, 5000), st.floats(100, 2000), st.floats(0.2, 6), st.floats(10, 300), st.floats(0.2, 3),
    st.floats(0.02, 0.3),
)  # fmt: skip
def test_no_other_number_of_days_brings_more_and_the_bin_is_never_over_full(kg, bulk, price, haul, room, discount):
    heap = Heap("brass", 0.0, kg, bulk, price, 0.0)
    wanted = HaulWanted((heap,), haul, room, 0.0, discount, "EUR")
    [one] = hauls(wanted)
    full_days = room * bulk / kg * 365.25
    if math.isinf(one.every_days):
        # No haul pays: at the best time what is fetched brings less than fetching it.
        t = min(full_days / 365.25, math.sqrt(2 * haul / (kg * price * discount)))
        assert kg * t * price <= haul * (1 + 1e-9)
        return
    assert one.every_days <= full_days * (1 + 1e-9)
    best = year(heap, wanted, one.every_days)
    assert all(year(heap, wanted, full_days * k / 200) <= best + 1e-6 for k in range(1, 201))


def test_a_full_bin_is_due_and_one_that_lacks_says_how_long():
    wanted = HaulWanted((Heap("a", 400.0, 365.25, 500.0, 4.0, 0.2), Heap("b", 390.0, 365.25, 500.0, 4.0, 0.2)), 60.0,
                        0.8, 20.0, 0.05, "EUR")  # fmt: skip
    full, nearly = hauls(wanted)
    goes = nearly.every_days
    assert full.due == (goes <= 400.0)
    assert nearly.days_left == pytest.approx(max(goes - 390.0, 0.0))
    assert full.there_m3 == pytest.approx(0.8)
    assert full.worth == pytest.approx(1600.0)


def test_little_of_it_goes_with_the_rest_much_of_it_is_kept_apart():
    little, much = Heap("l", 0.0, 5.0, 500.0, 3.0, 0.2), Heap("m", 0.0, 500.0, 500.0, 3.0, 0.2)
    found = hauls(HaulWanted((little, much), 60.0, 0.8, 25.0, 0.08, "EUR"))
    assert [one.apart for one in found] == [False, True]


def test_broken_steel_chips_weigh_as_the_table_prints():
    # 55 to 75 lb/ft3: 65 of them are 1041 kg/m3.
    assert chip_bulks()["steel", "broken"] == pytest.approx(1041.2, abs=0.1)
