"""What a trailer puts on its coupling, against statics by hand."""

from __future__ import annotations

import pytest

from steadyrest.handling.trailer import Laden, Trailer, towed


@pytest.mark.parametrize(("ahead_mm", "tongue_kg"), [(300, 200), (360, 240), (450, 300)])
def test_coupling_of_two_tonnes_on_three_metres(ahead_mm, tongue_kg):
    # W x / L, worked out apart: 10, 12 and 15 % of the whole, all within what owners' manuals print.
    found = towed(Trailer(1e-9, 0.0, 3000.0), (Laden("all of it", 2000.0, ahead_mm),))
    assert found.tongue.value == pytest.approx(tongue_kg)
    assert found.axle.value == pytest.approx(2000 - tongue_kg)
    assert not found.cannot


def test_a_lathe_behind_the_axle_lifts_the_coupling():
    found = towed(Trailer(300, 35, 2800), (Laden("lathe", 500, -150),))
    assert found.tongue.value == pytest.approx(35 - 500 * 150 / 2800)
    assert [reason.key for reason in found.cannot] == ["trailer.light", "trailer.nearest_ahead"]
