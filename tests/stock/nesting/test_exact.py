"""The exact repair on nests that are known: plates cut up with cuts as wide as the gap, not a hair to spare."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.stock.nesting.exact import repaired
from steadyrest.stock.nesting.floor import Ground, ground
from steadyrest.stock.nesting.judged import faults
from steadyrest.stock.nesting.near import Floats
from steadyrest.stock.nesting.plan import THIN_MM, nest
from tests.oracles.cut_plates import cut_plate
from tests.stock.nesting.cases import Solved, solved


def poses(case: Solved, at: Ground) -> Floats:
    """Where the circles' centres lie in the nest that is known."""
    found = list[tuple[float, float, float, float]]()
    for slot, one in enumerate(case.known):
        cx, cy = at.centres[at.ways.base[slot] + one.mirrored]
        turn = math.radians(one.turn_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        found.append((one.x_mm + cos * cx - sin * cy, one.y_mm + sin * cx + cos * cy, turn, float(one.mirrored)))
    return np.array(found)


@pytest.mark.parametrize("seed", range(6))
def test_the_nest_that_is_known_stands_clear(seed):
    case = solved(cut_plate(seed, kept=0.95))
    assert not faults(case.wanted, case.known)


@pytest.mark.parametrize(("seed", "turns_deg"), [(1, (0.0, 90.0)), (3, None)])
def test_a_nest_out_of_place_by_a_little_is_put_right(seed, turns_deg):
    case = solved(cut_plate(seed, kept=0.9, pieces=14, turns_deg=turns_deg))
    at = ground(case.wanted, THIN_MM)
    at.floor.active[:] = True
    luck = np.random.default_rng(seed)
    off = poses(case, at)
    off[:, :2] += luck.uniform(-0.3, 0.3, (len(off), 2))
    lacks = repaired(at, off, lambda: 1.0, reach_mm=0.5, enough_mm=0.008)
    assert lacks.max() <= 0.008
    assert not faults(case.wanted, [at.placed(slot, at.floor.pose[slot]) for slot in range(len(off))])


def test_what_cannot_be_put_right_is_told():
    case = solved(cut_plate(1, kept=0.9, pieces=14, turns_deg=(0.0, 90.0)))
    at = ground(case.wanted, THIN_MM)
    at.floor.active[:] = True
    off = poses(case, at)
    off[0, :2] = off[1, :2]
    assert repaired(at, off, lambda: 1.0, reach_mm=0.5, enough_mm=0.008)[0] > 1.0


@pytest.mark.parametrize(("seed", "turns_deg"), [(0, (0.0, 180.0)), (2, None)])
def test_two_thirds_of_a_plate_cut_up_go_back_onto_it(seed, turns_deg):
    case = solved(cut_plate(seed, kept=0.62, pieces=14, turns_deg=turns_deg))
    plan = nest(case.wanted, lambda: 1.0, seed=1, rounds=0)
    assert not plan.unplaced
    assert not faults(case.wanted, plan.placed)
