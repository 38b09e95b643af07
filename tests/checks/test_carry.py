"""The carry blank's tip against handbook beams, and the blanks against counting by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stock.carry import CarryWanted, Section, best_option, carry_options, tip_mm

ROUND = CarryWanted(
    length_mm=40, face_mm=1, part_off_mm=4, count=10, section=Section(d_mm=20), density_kg_m3=7850, e_mpa=210_000,
    price_per_kg=2.0, kerf_mm=2, saw_s=240, grip_mm=25, holding_s=180, force_n=150, tip_allowed_mm=0.05,
    max_mass_kg=math.inf, max_length_mm=math.inf, person_per_hour=60, pieces_mm=(), currency="EUR",
)  # fmt: skip


def test_the_tip_of_a_round_cantilever():
    # F L^3 / (3 E I), I = pi d^4 / 64 (any handbook of strength of materials), worked by hand: L 45, I 7853.98.
    assert tip_mm(ROUND, 1) == pytest.approx(150 * 45**3 / (3 * 210_000 * 7853.98), rel=1e-6)


def test_a_flat_bends_about_its_thin_side_whichever_way_it_is_written():
    flat = replace(ROUND, section=Section(w_mm=60, h_mm=10))
    on_edge = replace(ROUND, section=Section(w_mm=10, h_mm=60))
    inertia = 60 * 10**3 / 12
    assert tip_mm(flat, 2) == tip_mm(on_edge, 2) == pytest.approx(150 * 90**3 / (3 * 210_000 * inertia))


def test_blanks_masses_and_money_counted_by_hand():
    three = carry_options(ROUND)[2]
    assert three.chains == (3, 3, 3, 1)
    bar_mm = 3 * (3 * 45 + 25 + 2) + (45 + 25 + 2)
    assert three.bar_mm == pytest.approx(bar_mm)
    assert three.handling_s == 4 * 420
    mass_kg = math.pi * 100 * bar_mm * 1e-9 * 7850
    assert three.cost == pytest.approx(mass_kg * 2 + 4 * 420 / 3600 * 60)


def test_a_limit_refuses_with_what_it_is_over_by():
    options = carry_options(ROUND)
    allowed = [option.allowed for option in options]
    assert allowed == sorted(allowed, reverse=True)
    assert not options[-1].allowed
    assert dict(options[-1].limits[0].given)["over_mm"] == pytest.approx(options[-1].tip.value - 0.05)
    assert best_option(carry_options(replace(ROUND, tip_allowed_mm=1e-6))) is None


def test_pieces_on_the_floor_limit_the_blanks():
    # Blanks of four links are 205 + 2 long, the last of two 115 + 2: 2 + 1 pieces.
    four = replace(ROUND, tip_allowed_mm=9, pieces_mm=(414.0, 117.0))
    assert carry_options(four)[3].allowed
    assert not carry_options(replace(four, pieces_mm=(413.0, 117.0)))[3].allowed
    assert not carry_options(replace(four, pieces_mm=(414.0, 116.0)))[3].allowed


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(1, 12), st.lists(st.integers(50, 3000), min_size=1, max_size=6))
def test_a_blank_that_fits_the_pieces_can_be_packed_by_brute_force(count, links, pieces):
    links = min(links, count)
    wanted = replace(ROUND, count=count, tip_allowed_mm=1e9, pieces_mm=tuple(map(float, pieces)))
    option = carry_options(wanted)[links - 1]
    long_mm, rest = links * 45 + 25 + 2, count % links
    places = [(None, pieces)]
    if rest:
        short_mm = rest * 45 + 25 + 2
        places = [
            (k, [*pieces[:k], pieces[k] - short_mm, *pieces[k + 1 :]])
            for k in range(len(pieces))
            if pieces[k] >= short_mm
        ]
    can = any(sum(p // long_mm for p in left) >= count // links for _, left in places)
    assert option.allowed == can


@given(st.integers(1, 500))
def test_every_part_is_in_a_chain_and_only_the_last_is_shorter(count):
    for option in carry_options(replace(ROUND, count=count)):
        assert sum(option.chains) == count
        assert set(option.chains[:-1]) <= {option.links}
        assert option.chains[-1] <= option.links
