"""What a piece weighs and what could come out of it, by shape."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.stock.pieces import area_mm2, bounded_mm2, could_yield, possible

SIZE = st.floats(1, 500)


@pytest.mark.parametrize(
    ("shape", "size", "kg_per_m"),
    [
        # kg/m of rolled steel at 7850 kg/m3, EN 10056 and EN 10365 sections; from memory. Ours have sharp corners.
        ("angle", (50, 50, 5), 3.77),
        ("angle", (100, 50, 8), 8.97),
        ("channel", (100, 50, 6, 8.5), 10.6),
        ("beam", (100, 100, 6, 10), 20.4),
        ("beam", (200, 100, 5.6, 8.5), 22.4),
    ],
)
def test_rolled_sections_weigh_what_catalogues_say_within_their_corners(shape, size, kg_per_m):
    assert 0.94 * kg_per_m <= area_mm2(shape, size) * 7850e-6 <= 1.01 * kg_per_m


def test_areas_of_plain_shapes():
    assert area_mm2("round", (20,)) == pytest.approx(math.pi * 100)
    assert area_mm2("tube", (30, 5)) == pytest.approx(math.pi * (15**2 - 10**2))
    assert area_mm2("casting", (40, 30)) == 1200
    assert bounded_mm2([(0, 0), (0, 10), (10, 10), (10, 0)]) == 100


@given(d=SIZE, long=SIZE, less=st.floats(0, 1))
def test_a_piece_yields_its_own_size_and_no_larger(d, long, less):
    assert could_yield("round", (d,), long, (d, long))
    assert could_yield("round", (d,), long, (d * less, long * less)) or less == 0
    assert not could_yield("round", (d,), long, (d * 1.001, long))
    assert not could_yield("round", (d,), long, (d, long * 1.001))


@given(a=SIZE, b=SIZE, c=SIZE, shuffled=st.permutations((0, 1, 2)))
def test_a_box_fits_however_it_is_turned(a, b, c, shuffled):
    wanted = tuple((a, b, c)[k] for k in shuffled)
    assert could_yield("block", (a, b), c, wanted)
    assert could_yield("round", (math.hypot(a, b) * 1.0001,), c, (a, b, c))
    assert not could_yield("round", (math.hypot(a, b) * 0.99,), c, (a, b, c)) or c != max(a, b, c)


def test_a_hexagon_holds_a_square_of_three_quarters_nearly():
    # The largest square in a regular hexagon of side s has side (3 - sqrt 3) s; across flats is sqrt 3 s.
    side = 30 / math.sqrt(3) * (3 - math.sqrt(3))
    assert could_yield("hexagon", (30,), 100, (side - 1e-6, side - 1e-6, 100))
    assert not could_yield("hexagon", (30,), 100, (side + 1e-6, side + 1e-6, 100))


def test_a_hollow_shape_promises_nothing():
    for shape, size in (("tube", (50, 20)), ("angle", (50, 50, 20)), ("casting", (50, 50))):
        assert not could_yield(shape, size, 1000, (10, 20))
        assert not could_yield(shape, size, 1000, (10, 10, 20))


@given(size=st.lists(st.floats(allow_nan=True, allow_infinity=True), min_size=1, max_size=5))
def test_sizes_are_possible_or_it_is_said_why(size):
    for shape in ("round", "tube", "angle", "beam"):
        if possible(shape, tuple(size)) == "":
            assert area_mm2(shape, tuple(size)) > 0
