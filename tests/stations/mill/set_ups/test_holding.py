"""What holds the work: jaws need two faces that stand opposite and a vise that opens so far; air holds by its area."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from steadyrest.shop.floor import MillLimits
from steadyrest.stations.mill.set_ups.flat import vacuum_force_n
from steadyrest.stations.mill.set_ups.held import Hold, Lying
from steadyrest.stations.mill.set_ups.holding import hold_of
from steadyrest.stations.mill.set_ups.vise import grip_of
from steadyrest.tables.practice import rule
from tests.stations.solids import mill

PITCH = 1.0


def held(stock: np.ndarray, limits: MillLimits, *, gone: np.ndarray | None = None) -> tuple[Hold | None, set[str]]:
    height, nothing = stock.shape[0] * PITCH, np.zeros_like(stock)
    lying = Lying(stock, nothing, nothing if gone is None else gone, PITCH, limits, grip_of(limits, height), height)
    hold, why_not = hold_of(lying)
    return hold, {reason.key for reason in why_not}


def block(height: int, width: int, length: int) -> np.ndarray:
    return np.ones((height, width, length), dtype=np.bool_)


def test_a_block_is_held_across_its_width_on_the_parallels_that_leave_most_in_the_jaws() -> None:
    _, limits = mill()
    hold, _ = held(block(30, 50, 90), limits)
    assert hold is not None
    assert (hold.kind, hold.width_mm) == ("vise", 50)
    jaw = limits.vise_jaw_mm[1]
    grips = [jaw, *(jaw - pair for pair in limits.parallels_mm)]
    assert hold.grip_mm == max(grip for grip in grips if grip <= rule("grip_share") * 30)
    assert hold.force_n == limits.vise_grip_n


def test_a_vise_that_does_not_open_so_far_says_so_and_clamps_hold() -> None:
    _, limits = mill()
    hold, why_not = held(block(30, 150, 200), limits)
    assert hold is not None
    assert hold.kind == "clamps"
    assert "mill.grip_wide" in why_not


def test_a_round_outline_needs_soft_jaws() -> None:
    _, limits = mill()
    y, x = np.meshgrid(np.arange(60) - 29.5, np.arange(60) - 29.5)
    disc = np.broadcast_to(np.hypot(x, y) < 30, (30, 60, 60))
    hold, _ = held(disc.copy(), limits)
    assert hold is not None
    assert hold.kind == "soft jaws"


def test_thin_work_on_a_table_too_small_is_held_by_nothing_but_a_vacuum_plate() -> None:
    _, limits = mill()
    small = replace(limits, table_mm=(150.0, 60.0))
    sheet = block(4, 80, 120)
    hold, why_not = held(sheet, small)
    assert hold is None
    assert {"mill.grip_none", "mill.table_small"} <= why_not
    hold, _ = held(sheet, replace(small, vacuum_mm=(200.0, 100.0), vacuum_bar=0.8))
    assert hold is not None
    assert hold.kind == "vacuum plate"
    assert hold.force_n == pytest.approx(vacuum_force_n(0.8, 80 * 120))


def test_air_presses_a_tenth_of_a_newton_a_square_millimetre_and_bar() -> None:
    """Source: 1 bar = 100 000 N/m2."""
    assert vacuum_force_n(0.8, 10_000.0) == pytest.approx(0.8 * 1e5 * 0.01)


def test_work_that_stands_on_its_edges_is_not_clamped() -> None:
    _, limits = mill()
    frame = block(30, 150, 200)
    frame[-1, 3:-3, 3:-3] = False
    hold, why_not = held(frame, limits)
    assert hold is None
    assert "mill.rest_small" in why_not


def test_thin_work_gives_the_jaws_nothing() -> None:
    _, limits = mill()
    assert grip_of(limits, 4.0) is None
    assert grip_of(limits, 200.0) == (limits.vise_jaw_mm[1], 0.0)
