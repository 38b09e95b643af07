"""A lot over its due times adds up, and a spare link pays exactly where both costs are equal."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.carried_lot import DueLot, scrapped, split
from steadyrest.stock.carry import CarryWanted, Section, carry_options

WANTED = CarryWanted(
    length_mm=40.0, face_mm=1.0, part_off_mm=4.0, count=10, section=Section(d_mm=20.0), density_kg_m3=7850.0,
    e_mpa=210_000.0, price_per_kg=2.4, kerf_mm=2.0, saw_s=240.0, grip_mm=25.0, holding_s=180.0, force_n=150.0,
    tip_allowed_mm=0.1, max_mass_kg=12.0, max_length_mm=400.0, person_per_hour=42.0, pieces_mm=(), currency="EUR",
)  # fmt: skip


@settings(max_examples=40)
@given(st.lists(st.integers(1, 6), min_size=1, max_size=6), st.data())
def test_every_link_goes_to_one_due_time_and_earlier_ones_come_from_earlier_blanks(chains, data):
    cuts = sorted(data.draw(st.lists(st.integers(0, sum(chains)), max_size=3)))
    lots = [DueLot(str(k), b - a) for k, (a, b) in enumerate(zip([0, *cuts], [*cuts, sum(chains)], strict=True))]
    found = split(chains, lots)
    assert [one.count for one in found] == [lot.count for lot in lots]
    given_ = [(blank, links) for one in found for blank, links in one.chains]
    assert [blank for blank, _ in given_] == sorted(blank for blank, _ in given_)
    for k, links in enumerate(chains, 1):
        assert sum(n for blank, n in given_ if blank == k) == links


def test_a_spare_link_costs_what_a_longer_blank_costs_more_in_metal():
    longer, short = replace(WANTED, count=5), replace(WANTED, count=4)
    more = carry_options(longer)[4].cost - carry_options(short)[3].cost
    assert scrapped(WANTED).spare == pytest.approx(more)


def test_made_afterwards_it_costs_what_a_lot_of_one_costs():
    assert scrapped(WANTED).alone == pytest.approx(carry_options(replace(WANTED, count=1))[0].cost)
    found = scrapped(WANTED)
    assert found.odds * found.alone == pytest.approx(found.spare)
