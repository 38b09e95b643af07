"""A hole seen from both mouths alone is one hole, whatever a scanner's program hung across its middle."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from steadyrest.part.features.hole_ends import scanned_holes
from steadyrest.part.features.holes import holes_of
from steadyrest.part.features.turned import Slack
from steadyrest.part.patch import Patch, PatchGraph

SLACK = Slack(angle_rad=0.026, distance_mm=0.2, rounding_mm=0.5, ragged_mm=0.5, least_mm2=5.0, tail=0.005)


def wall(number: int, middle_mm: float) -> Patch:
    """The wall of a hole of 4.2, seen 5 mm deep."""
    turn, along = np.meshgrid(np.linspace(0, 2 * pi, 24), np.linspace(-2.5, 2.5, 8))
    points = np.stack((2.1 * np.cos(turn), 2.1 * np.sin(turn), middle_mm + along), axis=-1).reshape(-1, 3)
    return Patch(
        number, "cylinder", (0.0, 0.0, middle_mm), (0.0, 0.0, 1.0), 2.1, inside=True, along_mm=(-2.5, 2.5),
        arc_rad=2 * pi, area_mm2=66.0, unworn_mm=2.1, u_radius_mm=0.02, u_axis_rad=0.01, points=points,
    )  # fmt: skip


def across(invented: float) -> Patch:
    """What lies across the hole half way."""
    some = np.random.default_rng(1).uniform(-1.2, 1.2, (60, 3)) + np.array([0.0, 0.0, 7.5])
    return Patch(2, "free", (0.0, 0.0, 7.5), (0.0, 0.0, 1.0), area_mm2=20.0, invented=invented, points=some)


@pytest.mark.parametrize(("invented", "holes"), [(1.0, 1), (0.0, 2)])
def test_skin_closes_no_hole_and_what_was_seen_does(invented: float, holes: int) -> None:
    graph = PatchGraph(
        (wall(0, 2.5), wall(1, 12.5), across(invented)), (), scan=True, box_mm=((-9.0, -9.0, 0.0), (9.0, 9.0, 15.0)),
        area_mm2=2000.0, volume_mm3=None, solids=None, noise_mm=0.05, axis=None,
    )  # fmt: skip
    found = scanned_holes(graph, holes_of(graph, SLACK, set()), SLACK)
    assert len(found) == holes
    assert found[0].length_mm == pytest.approx(15.0 if holes == 1 else 5.0, abs=0.5)
    assert scanned_holes(replace(graph, noise_mm=0.0), found, SLACK) == found
