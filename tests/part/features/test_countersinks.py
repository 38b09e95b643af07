"""Countersinks at a tool's angle: slants made from closed forms with noise, their edges rounded outward."""

from __future__ import annotations

import math

import numpy as np
import pytest

from steadyrest.part.features.block import block_of
from steadyrest.part.features.countersinks import sink_of
from steadyrest.part.features.turned import slack_of
from steadyrest.part.patch import Patch, PatchGraph

NOISE_MM, CORRELATION_MM = 0.03, 0.5


def cone(angle_deg: float, rim_mm: float, hole_mm: float, *, seen_deg: float | None = None, seed: int = 1):
    """A block with one countersink, its apex at the origin; seen_deg: the angle that a free fit gave."""
    rng = np.random.default_rng(seed)
    slope = math.tan(math.radians(angle_deg / 2))
    low, high = hole_mm / 2 / slope, rim_mm / 2 / slope
    t = np.concatenate([np.full(int(120 * x / high), x) for x in np.linspace(low, high, 24)])
    turn = rng.uniform(0, 2 * np.pi, len(t))
    rounded = 0.12 * np.exp(-np.minimum(t - low, high - t) / math.cos(math.radians(angle_deg / 2)) / 0.15)
    rho = slope * t + rounded + NOISE_MM * rng.standard_normal(len(t))
    points = np.stack((rho * np.cos(turn), rho * np.sin(turn), t), axis=1)
    half = math.radians((seen_deg or angle_deg) / 2)
    area = math.pi * (rim_mm**2 - hole_mm**2) / 4 / math.sin(math.radians(angle_deg / 2))
    patch = Patch(
        0, "cone", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), half_angle_rad=half, inside=True, along_mm=(low, high),
        arc_rad=2 * math.pi, area_mm2=area, u_radius_mm=0.01, rms_mm=NOISE_MM, points=points,
    )  # fmt: skip
    graph = PatchGraph(
        (patch,), (), scan=True, box_mm=((-40.0, -40.0, 0.0), (40.0, 40.0, 20.0)), area_mm2=8000.0, volume_mm3=None,
        solids=None, noise_mm=NOISE_MM, correlation_mm=CORRELATION_MM,
    )  # fmt: skip
    return block_of(graph, slack_of(graph), ()), patch, high


@pytest.mark.parametrize("angle_deg", [60.0, 82.0, 90.0, 120.0])
@pytest.mark.parametrize("off_deg", [-1.2, 0.0, 1.2])
def test_a_countersink_a_little_off_has_its_tool_s_angle_and_the_rim_that_goes_with_it(angle_deg, off_deg) -> None:
    block, patch, rim = cone(angle_deg, 11.0, 5.5, seen_deg=angle_deg + off_deg)
    sink = sink_of(block, patch, None, rim, at_hole=True)
    assert math.degrees(2 * sink.half_angle_rad) == pytest.approx(angle_deg)
    assert sink.standard
    assert sink.diameter_mm == pytest.approx(11.0, abs=0.05)


@pytest.mark.parametrize("angle_deg", [70.0, 75.0, 110.0, 135.0])
def test_an_angle_of_no_tool_stays_as_it_was_seen(angle_deg) -> None:
    block, patch, rim = cone(angle_deg, 16.0, 6.0)
    sink = sink_of(block, patch, None, rim, at_hole=True)
    assert not sink.standard
    assert math.degrees(2 * sink.half_angle_rad) == pytest.approx(angle_deg)


def test_a_slant_too_short_to_tell_tools_apart_stays_as_it_was_seen() -> None:
    block, patch, rim = cone(86.0, 6.4, 5.5)
    assert not sink_of(block, patch, None, rim, at_hole=True).standard


def test_a_taper_that_is_at_no_hole_is_no_countersink() -> None:
    block, patch, rim = cone(90.0, 11.0, 5.5)
    assert not sink_of(block, patch, None, rim, at_hole=False).standard
