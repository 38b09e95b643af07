"""How the work lies when the rotary axes stand so: which way the spindle then points in the blank."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Rotary = tuple[float, float, float]  # A, B, C in degrees
Turn = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


@dataclass(frozen=True, slots=True)
class Setting:
    """One position of the rotary axes: a point of the blank = zero_mm + turn x (a point in work coordinates).

    turn: a rotation whose third column, the way the spindle points, is along an axis of the blank.
    zero_mm: where this setting's work zero lies in the blank.
    """

    turn: Turn
    zero_mm: tuple[float, float, float]

    def __post_init__(self) -> None:
        turn = np.array(self.turn)
        if not np.allclose(turn @ turn.T, np.eye(3), atol=1e-9) or np.linalg.det(turn) < 0.0:
            raise ValueError(f"Setting: turn is no rotation: {self.turn!r}")
        if abs(np.abs(turn[:, 2]).max() - 1.0) > 1e-9:
            raise ValueError(f"Setting: the spindle must point along an axis of the blank; got {self.turn!r}")
