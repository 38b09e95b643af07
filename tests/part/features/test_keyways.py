"""A keyway's width between walls that a scan shows in different places."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadyrest.part.features.frame import Frame
from steadyrest.part.features.keyways import facing
from steadyrest.part.patch import Patch

LINE = Frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
WIDTH_MM = 6.35


def wall(number: int, side: float, at_mm: float, lean_rad: float) -> Patch:
    """One wall that looks at the other, seen near one place along the axis, leaning along it as short ones seem to."""
    normal = (-side * math.cos(lean_rad), 0.0, math.sin(lean_rad))
    return Patch(number, "plane", (side * WIDTH_MM / 2, 15.0, at_mm), normal, area_mm2=30.0, u_axis_rad=0.03)


@given(st.floats(-30, 30), st.floats(-30, 30), st.floats(-0.04, 0.04), st.floats(-0.04, 0.04))
def test_walls_seen_in_different_places_are_as_far_apart_as_they_stand(a: float, b: float, one: float, two: float):
    # The truth is how they were set up: a lean along the axis is no keyway's, whatever lies between both places.
    ((width, _, _),) = facing([wall(0, 1.0, a, one), wall(1, -1.0, b, two)], LINE)
    assert width == pytest.approx(WIDTH_MM, abs=1e-6)
