"""Where threads are looked for: full hollows, outsides seen from one side, never the half round end of a slot."""

from __future__ import annotations

from math import pi

import pytest

from steadyrest.part.patch import Patch
from steadyrest.part.threads.shells import shell_of


@pytest.mark.parametrize(
    ("inside", "arc_rad", "looked_at"),
    [(True, 2 * pi, True), (True, pi, False), (True, 1.05 * pi, False), (False, pi, True), (False, 0.7 * pi, False)],
)
def test_half_a_hollow_is_a_slot_s_end_and_half_an_outside_may_be_a_bolt(
    inside: bool, arc_rad: float, looked_at: bool
) -> None:
    patch = Patch(
        1, "cylinder", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 5.0, inside=inside, along_mm=(-6.0, 6.0), arc_rad=arc_rad
    )
    assert (shell_of(patch) is not None) == looked_at
