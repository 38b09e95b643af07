"""Clamps stand where work is solid below them; where nothing is cut there they stay, else a second pair has a place."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis.strategies import integers

from steadyrest.shop.figure import Reason
from steadyrest.stations.mill.set_ups.clamped import Clamps, Spot, clamps_of
from steadyrest.tables.practice import rule

PITCH = 2.0


def plate(length: float = 300.0, width: float = 200.0, height: float = 16.0) -> np.ndarray:
    return np.ones((round(height / PITCH), round(width / PITCH), round(length / PITCH)), dtype=np.bool_)


def cut(stock: np.ndarray, margin_mm: float) -> np.ndarray:
    """Everything cut but a margin all round."""
    gone, m = np.zeros_like(stock), round(margin_mm / PITCH)
    gone[:2, m : gone.shape[1] - m, m : gone.shape[2] - m] = True
    return gone


def toe(shape: tuple[int, ...], spot: Spot) -> np.ndarray:
    found = np.zeros(shape, dtype=np.bool_)
    found[spot.rows[0] : spot.rows[1], spot.columns[0] : spot.columns[1]] = True
    return found


def checked(stock: np.ndarray, gone: np.ndarray, clamps: Clamps) -> None:
    """What an independent eye would look for: under each toe there is work, and toes do not cover each other."""
    spots = (*clamps.first, *(clamps.then or ()))
    covers = [toe(stock.shape[1:], spot) for spot in spots]
    for cover in covers:
        assert stock.any(axis=0)[cover].all()
        assert int(cover.sum()) * PITCH**2 >= 0.9 * rule("clamp_toe_mm") * rule("clamp_wide_mm")
    if clamps.then is None:
        assert not any((gone.any(axis=0) & cover).any() for cover in covers)
    else:
        first, then = covers[0] | covers[1], covers[2] | covers[3]
        assert not (first & then).any(), "what one pair covers the other leaves free"


def test_clamps_stay_on_a_rim_where_nothing_is_cut() -> None:
    stock = plate()
    gone = cut(stock, 40.0)
    found = clamps_of(stock, gone, pitch_mm=PITCH)
    assert isinstance(found, Clamps)
    assert found.then is None
    checked(stock, gone, found)


def test_clamps_are_moved_over_where_all_of_the_face_is_cut() -> None:
    stock = plate()
    gone = cut(stock, 0.0)
    found = clamps_of(stock, gone, pitch_mm=PITCH)
    assert isinstance(found, Clamps)
    assert found.then is not None
    checked(stock, gone, found)


def test_a_rim_too_narrow_for_a_toe_has_no_place_and_says_how_many() -> None:
    stock = plate()
    m = round(6.0 / PITCH)
    stock[:, m:-m, m:-m] = False
    stock[-1] = True
    found = clamps_of(stock, cut(stock, 0.0), pitch_mm=PITCH)
    assert isinstance(found, Reason)
    given = dict(found.given)
    assert found.key == "mill.clamps_nowhere"
    assert given["count"] == 0.0
    assert given["deep_mm"] == rule("clamp_toe_mm")


def test_a_rim_that_overhangs_the_table_does_not_bear_a_clamp() -> None:
    stock = plate()
    m = round(20.0 / PITCH)
    stock[-1, :, :m] = stock[-1, :, -m:] = stock[-1, :m, :] = stock[-1, -m:, :] = False
    found = clamps_of(stock, np.zeros_like(stock), pitch_mm=PITCH)
    assert isinstance(found, Reason)


@settings(deadline=None, max_examples=30)
@given(seed=integers(0, 2**32 - 1))
def test_whatever_is_cut_a_clamp_that_stays_is_in_no_cutter_s_way(seed: int) -> None:
    luck = np.random.default_rng(seed)
    stock = plate(200.0, 120.0)
    gone = np.zeros_like(stock)
    for _ in range(6):
        y, x = luck.integers(0, stock.shape[1]), luck.integers(0, stock.shape[2])
        gone[:3, y : y + luck.integers(2, 30), x : x + luck.integers(2, 30)] = True
    found = clamps_of(stock, gone, pitch_mm=PITCH)
    assert isinstance(found, Clamps)
    checked(stock, gone, found)
