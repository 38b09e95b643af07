"""Which line a worn hole has: walls from closed forms, about the line square to their face and about a leaning one."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from steadyrest.part.fit.round import Turned
from steadyrest.part.segment.found import Found
from steadyrest.part.segment.prismatic_scan.squared import is_truer, on_the_line_beside
from steadyrest.part.wear.worn import Seat

RADIUS_MM, LONG_MM, NOISE_MM, STEP_MM = 13.0, 10.0, 0.03, 0.6


def seats(lost_mm: float, lean_rad: float) -> tuple[Seat, Seat]:
    """A bore worn all round over the middle of its length, about its own line and about one that leans from it."""
    rng = np.random.default_rng(2)
    many = int(2 * np.pi * RADIUS_MM / STEP_MM)
    turn, along = np.meshgrid(np.arange(many) * 2 * np.pi / many - np.pi, np.arange(0, LONG_MM, STEP_MM), indexing="ij")
    turn, along = turn.ravel(), along.ravel() - LONG_MM / 2
    worn = (along > -0.2 * LONG_MM) & (along < 0.4 * LONG_MM)
    radius = RADIUS_MM + lost_mm * worn + NOISE_MM * rng.standard_normal(len(turn))
    leaning = radius + np.tan(lean_rad) * along * np.cos(turn)
    own, other = (Seat(turn, along, r, -1, NOISE_MM, STEP_MM, lone=True) for r in (radius, leaning))
    return own, other


def test_wear_told_about_the_line_square_to_the_face_makes_it_the_holes_line() -> None:
    square, leaning = seats(0.3, np.radians(3.0))
    assert is_truer(square, leaning)
    assert not is_truer(leaning, square)


def test_a_hole_without_wear_keeps_its_own_line() -> None:
    own, _ = seats(0.0, 0.0)
    assert not is_truer(own, own)


@pytest.mark.parametrize(
    ("aside_mm", "radius_mm", "moves"), [(0.3, 20.0, True), (0.03, 20.0, False), (0.3, 13.2, False)]
)
def test_a_bore_may_lie_on_the_line_of_a_boss_beside_it_and_not_on_that_of_its_own_wall(
    aside_mm: float, radius_mm: float, *, moves: bool
) -> None:
    turn = np.linspace(0, 2 * np.pi, 200)
    wall = np.stack((RADIUS_MM * np.cos(turn), RADIUS_MM * np.sin(turn), 0.02 * np.arange(200)), axis=1)
    z, members = np.array([0.0, 0.0, 1.0]), np.arange(200)
    bore = Found(Turned(np.array([aside_mm, 0.0, 0.0]), z, RADIUS_MM), members, inside=True)
    boss = Found(Turned(np.zeros(3), z, radius_mm), members)
    placed = on_the_line_beside(SimpleNamespace(points=wall), bore, [boss, bore])  # type: ignore[arg-type]
    assert (placed is not None) == moves
    if placed is not None:
        assert np.allclose(placed.surface.point[:2], 0.0)
        assert placed.surface.radius_mm == pytest.approx(RADIUS_MM)
