"""Slots of a scan put together from what was seen of them: by place where joints are too short, with one wall lost."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from steadyrest.part.features.block import Block, block_of
from steadyrest.part.features.round_slots import slots
from steadyrest.part.features.turned import slack_of
from steadyrest.part.patch import Patch, PatchGraph

HALF_MM, RADIUS_MM = 8.0, 4.0


def end(number: int, sense: float, radius: float = RADIUS_MM) -> Patch:
    return Patch(
        number, "cylinder", (sense * HALF_MM, 0.0, 0.0), (0.0, 0.0, 1.0), radius, inside=True, along_mm=(-3.0, 3.0),
        arc_rad=pi, area_mm2=75.0, unworn_mm=radius, points=np.array([(sense * (HALF_MM + radius), 0.0, 0.0)] * 20),
    )  # fmt: skip


def wall(number: int, side: float, middle: float = 0.0) -> Patch:
    points = np.array([(middle + x, side * RADIUS_MM, z) for x in (-5.0, 0.0, 5.0) for z in (-2.0, 0.0, 2.0)])
    return Patch(
        number, "plane", (middle, side * RADIUS_MM, 0.0), (0.0, -side, 0.0), area_mm2=90.0, points=points
    )  # fmt: skip


def block(*patches: Patch) -> Block:
    graph = PatchGraph(
        patches=patches, joints=(), scan=True, box_mm=((-40.0, -30.0, -6.0), (40.0, 30.0, 6.0)), area_mm2=12000.0,
        volume_mm3=None, solids=1, noise_mm=0.03,
    )  # fmt: skip
    return block_of(graph, slack_of(graph), ())


def widths(*patches: Patch) -> list[float]:
    return [size.estimate for draft, _ in slots(block(*patches), set()) if (size := draft.feature.size("width_mm"))]


def test_walls_that_stand_between_two_ends_make_a_slot_without_joints() -> None:
    assert widths(end(0, -1), end(1, 1), wall(2, 1), wall(3, -1)) == [pytest.approx(2 * RADIUS_MM)]


def test_with_one_wall_lost_the_ends_say_how_wide_it_is() -> None:
    assert widths(end(0, -1), end(1, 1), wall(2, 1)) == [pytest.approx(2 * RADIUS_MM)]


@pytest.mark.parametrize("other", [wall(2, 1, middle=30.0), end(2, 1, radius=6.0)])
def test_two_ends_without_a_wall_between_them_are_no_slot(other: Patch) -> None:
    assert widths(end(0, -1), end(1, 1), other) == []
