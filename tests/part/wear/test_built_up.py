"""Seats mended by weld and left rough: the level is the old surface's, below the patch.

The seats are those of test_worn.py; a bead is laid on them by a formula of its own.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.part.wear.built_up import built_up
from steadyrest.part.wear.seat_cells import FINE, Seat, cells_of
from steadyrest.part.wear.worn import unworn
from tests.part.wear.test_worn import RADIUS_MM, diameter_error, seat, smeared

ROWS, COLUMNS = 80, 229  # of the seat's points: 40 mm long, 36.5 round, half a millimetre apart


def with_bead(plain: Seat, *, high_mm: float, arc_deg: float, seed: int, rough: float = 0.35) -> Seat:
    """The seat with weld over an arc of it and most of its length; lumps as large as beads are wide, 4 mm."""
    rng = np.random.default_rng(seed)
    lumps = 0.75 + rough * smeared(rng, ROWS, COLUMNS, 5.0).ravel()
    turn = np.abs(np.angle(np.exp(1j * (plain.angle - 0.9))))
    on = np.clip((np.radians(arc_deg) / 2 - turn) / 0.08, 0, 1) * ((plain.along > 5) & (plain.along < 34))
    return replace(plain, radius=plain.radius + plain.sign * high_mm * on * np.clip(lumps, 0.1, 1.4))


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(("high_mm", "arc_deg"), [(0.3, 60.0), (0.25, 90.0), (0.45, 120.0)])
def test_a_rough_patch_is_a_repair_and_the_level_is_the_old_surface(sign: int, high_mm: float, arc_deg: float) -> None:
    mended = with_bead(seat(seed=3, sign=sign), high_mm=high_mm, arc_deg=arc_deg, seed=4)
    found = unworn(mended)
    assert abs(diameter_error(found)) < 0.03
    assert found.depth_mm == 0.0
    assert found.proud_mm == pytest.approx(high_mm, rel=0.4)
    assert found.proud_along_mm == pytest.approx((5, 34), abs=4)


@pytest.mark.parametrize("arc_deg", [250, 290, 320])
@pytest.mark.parametrize("depth_mm", [0.15, 0.3, 0.5])
def test_what_wear_left_standing_is_no_repair(arc_deg: float, depth_mm: float) -> None:
    # Most of the round is worn; a calm strip stands high.
    worn = seat(depth_mm=depth_mm, arc_deg=arc_deg, band=(0.0, 1.0), seed=5)
    assert built_up(cells_of(worn, FINE)) is None


def test_a_band_worn_all_round_is_no_repair_of_its_lands() -> None:
    assert built_up(cells_of(seat(depth_mm=0.2, arc_deg=360, band=(0.2, 0.8), seed=6), FINE)) is None


@pytest.mark.parametrize("seed", range(5))
def test_a_sound_seat_was_not_mended(seed: int) -> None:
    found = unworn(seat(seed=seed, noise_mm=0.05, drift_mm=0.01))
    assert found.proud_mm == 0.0
    assert found.radius_mm == pytest.approx(RADIUS_MM, abs=0.01)


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(("high_mm", "arc_deg", "seed", "noise_mm"), [(0.2, 80.0, 3, 0.03), (0.2, 60.0, 6, 0.05)])
def test_a_smooth_patch_leaves_both_levels(
    sign: int, high_mm: float, arc_deg: float, seed: int, noise_mm: float
) -> None:
    plain = seat(seed=seed, sign=sign, noise_mm=noise_mm)
    found = unworn(with_bead(plain, high_mm=high_mm, arc_deg=arc_deg, seed=4, rough=0.05))
    if found.proud_mm == 0.0:  # else it was rough enough to be known for a repair
        assert found.below_mm == pytest.approx(RADIUS_MM, abs=0.02)
    else:
        assert abs(diameter_error(found)) < 0.03


@pytest.mark.parametrize("arc_deg", [250, 320])
def test_a_seat_that_stands_alone_is_not_asked_for_a_patch(arc_deg: float) -> None:
    worn = replace(seat(depth_mm=0.3, arc_deg=arc_deg, band=(0.0, 1.0), seed=5), lone=True)
    assert unworn(worn).below_mm is None
