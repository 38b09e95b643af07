"""A floor in a shaft of which the scan shows no wall: a keyway's where the shaft goes on beside it, else a flat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.features.frame import Frame
from steadyrest.part.features.half_seen_keyways import keyway_by_floor
from steadyrest.part.features.keyway import Keyway
from steadyrest.part.features.keyways import width_u_mm
from steadyrest.part.features.profile import Bound, Piece
from steadyrest.part.features.turned import Ring, slack_of
from steadyrest.part.patch import Patch, PatchGraph

LINE = Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
LENGTH_MM = 60.0


def floor(radius: float, deep: float, wide: float, low: float, high: float) -> Patch:
    """A floor square to x, as far off the axis as a key this deep stands, so wide as the scan shows it."""
    y, z = np.meshgrid(np.linspace(-wide / 2, wide / 2, 15), np.linspace(low, high, 25))
    points = np.stack((np.full(y.size, radius - deep), y.ravel(), z.ravel()), axis=1)
    middle = (radius - deep, 0.0, (low + high) / 2)
    return Patch(0, "plane", middle, (1.0, 0.0, 0.0), area_mm2=wide * (high - low), points=points)


def shaft(radius: float, half_gap_rad: float, low: float, high: float) -> Patch:
    """A shaft whose surface is missing within so far of x, between low and high."""
    angle, z = (
        grid.ravel() for grid in np.meshgrid(np.linspace(-math.pi, math.pi, 200), np.linspace(0, LENGTH_MM, 90))
    )
    there = (np.abs(angle) > half_gap_rad) | (z < low) | (z > high)
    points = np.stack((radius * np.cos(angle), radius * np.sin(angle), z), axis=1)[there]
    return Patch(
        1, "cylinder", (0.0, 0.0, LENGTH_MM / 2), (0.0, 0.0, 1.0), radius, arc_rad=2 * math.pi,
        along_mm=(-LENGTH_MM / 2, LENGTH_MM / 2), unworn_mm=radius, points=points, area_mm2=6.28 * radius * LENGTH_MM,
    )  # fmt: skip


def keyway_in(radius: float, bottom: Patch, around: Patch) -> tuple[PatchGraph, Keyway | None]:
    """What is made of the floor."""
    reach = (radius, radius, LENGTH_MM)
    graph = PatchGraph(
        (bottom, around), (), scan=True, box_mm=((-radius, -radius, 0.0), reach), area_mm2=9000.0, volume_mm3=None,
        solids=1, noise_mm=0.03, correlation_mm=0.8,
    )  # fmt: skip
    piece = Piece(Bound(0, 0), Bound(LENGTH_MM, 0), radius, radius, Ring((around,), 0.0, LENGTH_MM, radius, radius))
    return graph, keyway_by_floor(graph, LINE, slack_of(graph), bottom, [bottom], [piece])


@settings(max_examples=30, deadline=None)
@given(st.floats(8, 30), st.floats(0.22, 0.34), st.floats(0.1, 0.6))
def test_a_floor_beside_which_the_shaft_goes_on_round_is_a_keyways(radius: float, share: float, lost: float):
    width = 2 * radius * share
    deep = 0.45 * width
    seen = floor(radius, deep, width - lost, 15.0, 40.0)
    graph, keyway = keyway_in(radius, seen, shaft(radius, math.asin(share), 15.0, 40.0))
    assert keyway is not None
    assert keyway.depth_mm == pytest.approx(deep, abs=1e-9)
    # As wide as the floor is seen, and no better known than edges are.
    assert width - lost - 0.1 < keyway.width_mm < width
    assert width_u_mm(graph, slack_of(graph), keyway) > 0.3


@settings(max_examples=30, deadline=None)
@given(st.floats(8, 30), st.floats(0.05, 0.3), st.floats(0.3, 0.7))
def test_a_flat_of_which_the_middle_alone_was_seen_stays_a_flat(radius: float, share: float, part: float):
    deep = share * radius
    half_rad = math.acos(1 - share)
    seen = floor(radius, deep, 2 * radius * math.sin(half_rad) * part, 15.0, 40.0)
    assert keyway_in(radius, seen, shaft(radius, half_rad, 15.0, 40.0))[1] is None
