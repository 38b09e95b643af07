"""O-ring grooves against a second chart in inches (seen): static radial depth and width, squeeze as it prints them."""

from __future__ import annotations

import pytest

from steadyrest.tables.seals import glands

# cord, depth, width, squeeze in inches: another seal merchant's chart of static cylinders.
SECOND_CHART = [
    (0.070, (0.050, 0.052), (0.093, 0.098), (0.015, 0.023), 0.003),
    (0.103, (0.081, 0.083), (0.140, 0.145), (0.017, 0.025), 0.003),
    (0.139, (0.111, 0.113), (0.187, 0.192), (0.022, 0.032), 0.004),
    (0.210, (0.170, 0.173), (0.281, 0.286), (0.032, 0.045), 0.005),
    (0.275, (0.226, 0.229), (0.375, 0.380), (0.040, 0.055), 0.006),
]


@pytest.mark.parametrize(("cord", "depth", "width", "squeeze", "u"), SECOND_CHART)
def test_static_grooves_are_as_in_a_second_chart(
    cord: float, depth: tuple[float, float], width: tuple[float, float], squeeze: tuple[float, float], u: float
) -> None:
    (gland,) = [
        g for g in glands() if g.use == "static radial" and g.system == "in" and abs(g.cord_mm - 25.4 * cord) < 1e-6
    ]
    assert [d / 25.4 for d in gland.depth_mm] == pytest.approx(depth, abs=0.0005)
    assert [w / 25.4 for w in gland.width_mm] == pytest.approx(width, abs=0.0005)
    # The chart's squeeze is cord less depth, with the cord's own limits; its second cord of 0.138 rounds 0.139.
    assert cord - u - gland.depth_mm[1] / 25.4 == pytest.approx(squeeze[0], abs=0.0025)
    assert cord + u - gland.depth_mm[0] / 25.4 == pytest.approx(squeeze[1], abs=0.0025)
