"""Which line a worn hole has: walls from closed forms, about the line square to their face and about a leaning one."""

from __future__ import annotations

import numpy as np

from steadyrest.part.segment.prismatic_scan.squared import is_truer
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
