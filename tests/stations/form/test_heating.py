"""Laws of a sheet before a heater."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.stations.form.heating import HeatingWanted, heated
from steadyrest.stations.slab import Conducts

AIR = HeatingWanted(3.0, 2, 20.0, 150.0, 1e3, Conducts(0.2, 1180, 1500), 45.0, 230.0)
LAMP = replace(AIR, h_w_m2k=None, around_c=None, flux_w_m2=6000.0)
SHEETS = st.sampled_from([AIR, LAMP])


def figures(wanted):
    found = heated(wanted)
    assert found.time is not None
    assert found.surface is not None
    return found.time.value, found.surface.value


@settings(max_examples=30, deadline=None)
@given(SHEETS, st.floats(25, 220), st.floats(0.5, 12))
def test_the_face_is_hotter_than_the_core_and_a_hotter_core_takes_longer(sheet, core_c, thickness_mm):
    sheet = replace(sheet, core_c=core_c, thickness_mm=thickness_mm)
    time, face = figures(sheet)
    assert face > core_c
    later, hotter = figures(replace(sheet, core_c=core_c + 5))
    assert later > time
    assert hotter > face


@settings(max_examples=20, deadline=None)
@given(SHEETS, st.floats(0.5, 12))
def test_a_sheet_heated_from_one_face_is_half_of_one_twice_as_thick(sheet, thickness_mm):
    one = figures(replace(sheet, faces=1, thickness_mm=thickness_mm))
    assert one == pytest.approx(figures(replace(sheet, thickness_mm=2 * thickness_mm)), rel=1e-9)


def test_a_thin_sheet_in_air_warms_as_a_lump():
    # Biot 0.0001: the rise follows 1 - exp(-h t / (rho cp L)).
    thin = replace(AIR, thickness_mm=0.01, h_w_m2k=4.0)
    want = 1180 * 1500 * 5e-6 / 4 * math.log((230 - 20) / (230 - 150))
    assert figures(thin)[0] == pytest.approx(want, rel=1e-3)


def test_the_limit_of_the_face_decides():
    _, face = figures(AIR)
    assert heated(replace(AIR, surface_limit_c=face + 1e-6)).answer == "yes"
    assert heated(replace(AIR, surface_limit_c=face - 1e-6)).answer == "no"


@pytest.mark.parametrize(
    "never", [replace(AIR, around_c=150.0), replace(AIR, h_w_m2k=0.0), replace(LAMP, flux_w_m2=0.0),
              replace(LAMP, flux_w_m2=-5.0)],
)  # fmt: skip
def test_a_core_that_never_gets_there_is_a_no_with_its_reason(never):
    found = heated(never)
    assert (found.time, found.surface, found.answer) == (None, None, "no")
    assert found.cannot
