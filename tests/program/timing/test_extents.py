"""How far a move reaches: against the path walked in small steps."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.reading.dialect import Dialect
from steadyrest.program.reading.read import read
from steadyrest.program.timing.extents import reached_mm


@settings(deadline=None, max_examples=60)
@given(
    begins=st.floats(0, 2 * math.pi),
    turns=st.floats(0.05, 6.2),
    radius=st.floats(1.0, 50.0),
    plane=st.integers(17, 19),
    word=st.sampled_from(["G2", "G3"]),
)
def test_an_arc_reaches_as_far_as_the_path_walked(
    begins: float, turns: float, radius: float, plane: int, word: str
) -> None:
    u, v = {17: (0, 1), 18: (2, 0), 19: (1, 2)}[plane]
    sign = -1.0 if word == "G2" else 1.0
    angles = begins + sign * np.linspace(0, turns, 4001)
    path = np.zeros((4001, 3))
    path[:, u], path[:, v] = radius * np.cos(angles), radius * np.sin(angles)
    a, b = path[0], path[-1]
    text = (
        f"G21 G90 G{plane} F100\nG0 {'XYZ'[u]}{a[u]:.6f} {'XYZ'[v]}{a[v]:.6f}\n"
        f"{word} {'XYZ'[u]}{b[u]:.6f} {'XYZ'[v]}{b[v]:.6f} {'IJK'[u]}{-a[u]:.6f} {'IJK'[v]}{-a[v]:.6f}\nM30\n"
    )
    run = read(text.encode(), Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)}))
    low, high = reached_mm(run.moves)
    low, high = np.minimum(low, run.moves.start_mm), np.maximum(high, run.moves.start_mm)
    assert low[-1] == pytest.approx(path.min(axis=0), abs=2e-5 * radius + 2e-6)
    assert high[-1] == pytest.approx(path.max(axis=0), abs=2e-5 * radius + 2e-6)


def test_a_full_circle_reaches_all_round() -> None:
    run = read(b"G21 G90 G17 F100\nG2 X0. Y0. I7. J0.\nM30\n", Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)}))
    low, high = reached_mm(run.moves)
    assert low[0] == pytest.approx([0.0, -7.0, 0.0])
    assert high[0] == pytest.approx([14.0, 7.0, 0.0])


def test_a_straight_move_reaches_its_end_and_leaves_its_start_to_the_move_before() -> None:
    run = read(b"G21 G90 F100\nG1 X9.\nG1 X4. Y-2.\nM30\n", Dialect(offsets_mm={"G54": (0.0, 0.0, 0.0)}))
    low, high = reached_mm(run.moves)
    assert low[1] == pytest.approx([4.0, -2.0, 0.0])
    assert high[1] == pytest.approx([4.0, -2.0, 0.0])
