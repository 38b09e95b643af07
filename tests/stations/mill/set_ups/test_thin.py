"""What is gripped is a beam: its numbers are those of a textbook cantilever, and thin work is refused with them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from steadyrest.stations.mill.set_ups.held import Lying
from steadyrest.stations.mill.set_ups.thin import borne
from steadyrest.stations.mill.set_ups.vise import in_jaws
from steadyrest.tables.practice import rule
from tests.stations.solids import mill

PITCH = 0.5
E_MPA = 210_000.0


def cells(height: float, width: float, length: float) -> np.ndarray:
    return np.ones((round(height / PITCH), round(width / PITCH), round(length / PITCH)), dtype=np.bool_)


def bears(stock: np.ndarray, grip: float) -> tuple[float, float]:
    layers = stock.shape[0]
    zone = slice(layers - round(grip / PITCH), layers)
    touched = np.ones(stock.shape[2], dtype=np.bool_)
    found = borne(stock, axis=1, zone=zone, pitch_mm=PITCH, e_mpa=E_MPA, touched=touched)
    return found.grip_n, found.push_n


@pytest.mark.parametrize(("thick", "high", "long"), [(5.0, 40.0, 60.0), (3.0, 25.0, 30.0), (20.0, 30.0, 80.0)])
def test_a_blade_that_stands_out_of_the_jaws_leans_as_a_cantilever_does(thick: float, high: float, long: float) -> None:
    """Source: end load on a cantilever, f = F l^3 / 3 E I, I = b t^3 / 12 (any textbook)."""
    _, push = bears(cells(high + 10.0, thick, long), 10.0)
    inertia = long * thick**3 / 12.0
    assert push == pytest.approx(rule("rough_bend_mm") * 3.0 * E_MPA * inertia / high**3, rel=0.01)


@pytest.mark.parametrize(("thick", "deep"), [(4.0, 30.0), (6.0, 20.0)])
def test_legs_between_jaws_bend_as_cantilevers_from_the_web(thick: float, deep: float) -> None:
    """A channel on its legs' ends: each leg a plate clamped in the web, the jaws' middle its loaded end."""
    stock, grip, long, web = cells(deep + 10.0, 50.0, 80.0), 10.0, 80.0, round(10.0 / PITCH)
    leg = round(thick / PITCH)
    stock[web:, leg:-leg, :] = False
    force, _ = bears(stock, grip)
    arm = deep - grip / 2.0
    inertia = long * thick**3 / 12.0
    assert force == pytest.approx(rule("jaw_bend_mm") * 3.0 * E_MPA * inertia / arm**3, rel=0.06)


def test_solid_work_bears_whatever_the_vise_has() -> None:
    grip, push = bears(cells(40.0, 50.0, 80.0), 10.0)
    assert grip == math.inf
    assert push > 1e5


def test_thicker_legs_bear_more_and_longer_ones_less() -> None:
    def channel(thick: float, deep: float) -> float:
        stock, leg = cells(deep + 10.0, 50.0, 80.0), round(thick / PITCH)
        stock[round(10.0 / PITCH) :, leg:-leg, :] = False
        return bears(stock, 10.0)[0]

    assert channel(3, 30) < channel(4, 30) < channel(6, 30)
    assert channel(4, 40) < channel(4, 30) < channel(4, 20)


def lying(stock: np.ndarray, grip: float) -> Lying:
    nothing = np.zeros_like(stock)
    return Lying(stock, nothing, nothing, PITCH, mill()[1], (grip, 25.0), stock.shape[0] * PITCH, e_mpa=E_MPA)


def test_the_vise_is_closed_no_harder_than_thin_legs_bear() -> None:
    stock, leg = cells(40.0, 50.0, 80.0), round(8.0 / PITCH)
    stock[round(10.0 / PITCH) :, leg:-leg, :] = False
    hold, _ = in_jaws(lying(stock, 10.0), 1, own=False)
    assert hold is not None
    force, push = bears(stock, 10.0)
    through = 2.0 * rule("jaw_friction") / rule("holding_safety")
    assert hold.force_n == pytest.approx(min(force, push / through))
    assert hold.force_n < mill()[1].vise_grip_n
    assert hold.weak
    assert {"mill.legs_bend", "mill.held_lightly"} <= {reason.key for reason in hold.more}


def test_legs_like_paper_are_refused_with_their_numbers() -> None:
    stock, leg = cells(50.0, 50.0, 40.0), round(1.5 / PITCH)
    stock[round(10.0 / PITCH) :, leg:-leg, :] = False
    hold, why = in_jaws(lying(stock, 10.0), 1, own=False)
    assert hold is None
    told = {reason.key: dict(reason.given) for reason in why}
    assert told["mill.legs_bend"]["thick_mm"] == pytest.approx(1.5)
    assert "mill.gripped_weak" in told


def test_softer_metal_bears_less() -> None:
    stock, leg = cells(40.0, 50.0, 80.0), round(8.0 / PITCH)
    stock[round(10.0 / PITCH) :, leg:-leg, :] = False
    steel, soft = lying(stock, 10.0), replace(lying(stock, 10.0), e_mpa=70_000.0)
    one, other = in_jaws(steel, 1, own=False)[0], in_jaws(soft, 1, own=False)[0]
    assert one is not None
    assert other is None or other.force_n == pytest.approx(one.force_n / 3.0)
