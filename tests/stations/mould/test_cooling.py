"""Laws of cooling in the mould and of what holds it shut."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.stations.mould.clamp import ClampWanted, MouldedPart, clamped
from steadyrest.stations.mould.cooling import CoolingWanted, cooled
from steadyrest.stations.slab import Conducts

WALL = CoolingWanted(2.5, 2, 240.0, 40.0, 95.0, False, Conducts(0.2, 950, 2000))
MOULD = ClampWanted(MouldedPart("plate", length_mm=80, width_mm=50), "across", 2, 300, 40, 1.2, 1.1, 600)
EJECT = st.floats(41, 239)


def seconds(wanted):
    time = cooled(wanted).time
    assert time is not None
    return time.value


@given(EJECT, st.booleans(), st.floats(0.1, 20))
def test_time_goes_with_the_square_of_the_wall(eject_c, mean, times):
    wall = replace(WALL, eject_c=eject_c, mean=mean)
    thick = replace(wall, thickness_mm=wall.thickness_mm * times)
    assert seconds(thick) == pytest.approx(seconds(wall) * times**2, rel=1e-9)


@given(EJECT, st.booleans())
def test_a_wall_cooled_from_one_side_is_half_of_one_twice_as_thick(eject_c, mean):
    wall = replace(WALL, eject_c=eject_c, mean=mean)
    assert seconds(replace(wall, sides=1)) == pytest.approx(seconds(replace(wall, thickness_mm=5.0)), rel=1e-12)


@given(EJECT, EJECT)
def test_the_mean_is_there_before_the_middle_and_a_cooler_part_takes_longer(one_c, other_c):
    low, high = sorted((one_c, other_c))
    assert seconds(replace(WALL, eject_c=low, mean=True)) <= seconds(replace(WALL, eject_c=low))
    assert seconds(replace(WALL, eject_c=high)) <= seconds(replace(WALL, eject_c=low))


@pytest.mark.parametrize(
    ("change", "time", "said"),
    [({"eject_c": 40.0}, None, "no"), ({"eject_c": 30.0}, None, "no"), ({"melt_c": 90.0}, 0.0, "yes")],
)
def test_a_mould_too_warm_never_cools_and_a_cold_melt_needs_no_time(change, time, said):
    found = cooled(replace(WALL, **change))
    assert (None if found.time is None else found.time.value) == time
    assert found.answer == said


@given(st.integers(1, 16), st.floats(1.1, 3))
def test_force_grows_in_step_with_cavities_pressure_factor_and_margin(cavities, more):
    bare = replace(MOULD, runner_mm2=0.0)
    one = clamped(bare).force.value
    assert clamped(replace(bare, cavities=cavities)).force.value == pytest.approx(one * cavities / 2)
    for name in ("pressure_mpa", "factor", "margin"):
        assert clamped(replace(bare, **{name: getattr(bare, name) * more})).force.value == pytest.approx(one * more)
