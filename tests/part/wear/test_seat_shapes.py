"""Wear too shallow for single cells: told by its shape, and not where a scan's own faults look alike."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.wear.seat_cells import Seat, cells_of
from steadyrest.part.wear.seat_shapes import shallow_wear
from steadyrest.part.wear.worn import LEAST_SHAPE_NOISES, LIKELY_WORN, SHAPE, unworn
from tests.part.wear.test_worn import diameter_error, seat


def about_its_own_middle(of: Seat) -> Seat:
    """The seat seen from the axis that least squares gives it: wear on one side has drawn that along."""
    rows = np.stack((np.ones_like(of.angle), np.cos(of.angle), np.sin(of.angle)), axis=1)
    told = np.linalg.lstsq(rows, of.radius, rcond=None)[0]
    return replace(of, radius=of.radius - rows[:, 1:] @ told[1:], lone=True, astray_mm=0.06)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("depth_mm", "arc_deg"), [(0.1, 245.0), (0.12, 180.0), (0.14, 280.0)])
def test_shallow_wear_shows_though_the_axis_followed_it(seed: int, depth_mm: float, arc_deg: float) -> None:
    hidden = about_its_own_middle(seat(depth_mm=depth_mm, arc_deg=arc_deg, seed=seed, length_mm=25))
    found = unworn(hidden)
    assert found.depth_mm is not None
    assert found.depth_mm > 0.045
    plain = 2 * (float(np.median(hidden.radius)) - 18.25)
    assert abs(diameter_error(found)) < max(0.75 * abs(plain), 0.05)
    assert abs(diameter_error(found)) < 4 * 2 * found.u_mm


@settings(max_examples=20, deadline=None)
@given(
    noise_mm=st.floats(0.02, 0.06), correlation_mm=st.floats(0.6, 1.3), seed=st.integers(0, 1000),
    off=st.tuples(st.floats(-0.03, 0.03), st.floats(-0.03, 0.03)), drift=st.floats(0.0, 0.3),
    taper=st.floats(-0.5, 0.5),
)  # fmt: skip
def test_drift_shift_and_lean_have_no_shape_of_wear(
    noise_mm: float, correlation_mm: float, seed: int, off: tuple[float, float], drift: float, taper: float
) -> None:
    sound = seat(
        noise_mm=noise_mm, correlation_mm=correlation_mm, seed=seed, off_mm=off, drift_mm=drift * noise_mm,
        taper_mm=taper * noise_mm,
    )  # fmt: skip
    shape = shallow_wear(sound, cells_of(sound, SHAPE))
    assert shape is None or shape.odds < LIKELY_WORN or shape.depth_mm < LEAST_SHAPE_NOISES * noise_mm


def test_a_shallow_band_between_lands_leaves_their_level() -> None:
    worn = seat(depth_mm=0.08, arc_deg=360, band=(0.15, 0.85), noise_mm=0.05, seed=2)
    found = unworn(worn)
    assert found.depth_mm is not None
    assert found.depth_mm > 0.05
    assert abs(diameter_error(found)) < 0.06
