"""The lathe's profile: closed forms, a slow twin, and laws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis.strategies import floats, integers, lists, tuples

from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.meet import Met, meet
from steadyrest.program.removal.tool_shape import tool_shape
from steadyrest.program.run import Plane
from tests.program.removal.paths import Path

QUICK = (Phase.explicit, Phase.generate)
BAR = RoundBlank(40.0, (-80.0, 2.0))
POINT_RAD = math.radians(118.0)
TOOLS = {
    1: tool_shape(1, "turning", diameter_mm=0.0),
    2: tool_shape(2, "drill", diameter_mm=10.0, point_rad=POINT_RAD),
    3: tool_shape(3, "grooving", diameter_mm=0.0, width_mm=3.0),
    5: tool_shape(5, "boring", diameter_mm=0.0),
}
HOME = (50.0, 0.0, 50.0)


def turned(path: Path, blank=BAR, **more) -> Met:
    return meet(path.moves(), blank, TOOLS, machine="lathe", **more)


def removed(path: Path) -> float:
    found = turned(path)
    whole = found.removed_mm3.sum() + found.fallen_mm3.sum() + found.left.volume_mm3()
    assert whole == pytest.approx(found.blank_mm3, rel=1e-12)
    return float(found.removed_mm3.sum())


def test_a_turned_cylinder_is_a_ring_less() -> None:
    got = removed(Path(at=HOME).rapid(x=18, z=3).feed(z=-30).rapid(x=25))
    assert got == pytest.approx(math.pi * (400 - 324) * 32, rel=1e-6)


def test_a_faced_end_is_a_disc_less_and_the_disc_falls_to_nothing() -> None:
    found = turned(Path(at=HOME).rapid(x=21, z=0.5).feed(x=-0.4).rapid(z=5))
    assert found.removed_mm3.sum() == pytest.approx(math.pi * 400 * 1.5, rel=1e-6)
    assert found.fallen_mm3.sum() == 0.0


def test_a_cone_is_a_frustum() -> None:
    got = removed(Path(at=HOME).rapid(x=10, z=2).feed(z=0).feed(x=20, z=-20))
    exact = math.pi * (400 * 22 - 100 * 2) - math.pi * 20 / 3 * (100 + 200 + 400)
    assert got == pytest.approx(exact, rel=1e-6)


def test_a_ball_end_turned_by_an_arc_is_half_a_ball() -> None:
    # From the axis at z 0 round to the bar's surface: the arc's centre on the axis, 20 below the face.
    path = Path(at=HOME).rapid(x=21, z=0).feed(x=0).arc((0, 0, -20), (20, 0, -20), ccw=True, plane=Plane.ZX)
    exact = math.pi * 400 * 2 + math.pi * 400 * 20 - 2.0 / 3.0 * math.pi * 8000
    # Chords of the arc stand up to 0.001 mm inside the ball.
    assert removed(path) == pytest.approx(exact, abs=2.0 * math.pi * 400 * 0.001)


def test_a_drilled_hole_bored_out_is_two_cylinders_and_a_point() -> None:
    high = 5.0 / math.tan(POINT_RAD / 2.0)
    path = Path(at=(0.0, 0.0, 50.0)).tool(2).rapid(z=4).feed(z=-30).rapid(z=50)
    drilled = math.pi * 25 * (32 - high) + math.pi * 25 * high / 3
    assert removed(path) == pytest.approx(drilled, rel=1e-6)
    path.tool(5).rapid(x=8, z=4).feed(z=-20).rapid(x=5).rapid(z=9)
    assert removed(path) == pytest.approx(drilled + math.pi * (64 - 25) * 22, rel=1e-6)


def test_a_groove_is_as_wide_as_its_edge() -> None:
    got = removed(Path(at=HOME).tool(3).rapid(x=22, z=-20).feed(x=15).feed(z=-22).rapid(x=25))
    assert got == pytest.approx(math.pi * (400 - 225) * 5.0, rel=1e-6)


def test_a_square_bar_counts_as_the_round_about_it() -> None:
    found = turned(Path(at=HOME).rapid(x=21, z=1), BoxBlank((-10.0, -10.0, -50.0), (10.0, 10.0, 0.0)))
    assert found.blank_mm3 == pytest.approx(math.pi * 200 * 50, rel=1e-9)


def test_the_depth_of_cut_is_the_ring_that_it_takes() -> None:
    found = turned(Path(at=HOME).rapid(x=18.5, z=3).feed(z=-30))
    assert found.depth_mm.tolist() == [0.0, pytest.approx(1.5)]
    assert found.rate_mm3_min[1] == pytest.approx(found.removed_mm3[1] / (33.0 / 500.0))


points = tuples(floats(0.5, 24.0), floats(-78.0, 6.0))


@settings(max_examples=40, deadline=None, phases=QUICK)
@given(route=lists(points, min_size=2, max_size=6))
def test_the_profile_is_the_least_radius_that_the_point_came_past(route) -> None:
    path = Path(at=(route[0][0], 0.0, route[0][1]))
    for x, z in route[1:]:
        if (
            abs(z - path.at[2]) > 0.05 * abs(x - path.at[0]) + 1e-6
        ):  # facing also takes what stands before it: elsewhere
            path.feed(x=x, z=z)
        else:
            path.at = np.array([x, 0.0, z])
    if not path.rows:
        return
    bar = turned(path, resolution_mm=0.5).left
    z = bar.origin_mm + (np.arange(len(bar.outer_mm)) + 0.5) * bar.cell_mm
    want = np.full(len(z), 20.0)
    for row in path.rows:
        (xa, _, za), (xb, _, zb) = row["start"] - row["offset"], row["end"] - row["offset"]
        inside = (z >= min(za, zb)) & (z <= max(za, zb))
        want[inside] = np.minimum(want[inside], np.interp(z[inside], *zip(*sorted([(za, xa), (zb, xb)]), strict=True)))
    assert bar.outer_mm == pytest.approx(want, abs=1e-9)


@settings(max_examples=30, deadline=None, phases=QUICK)
@given(route=lists(points, min_size=2, max_size=6), order=integers(0, 10**6))
def test_metal_only_goes_and_longitudinal_cuts_may_come_in_any_order(route, order: int) -> None:
    def left(radii) -> Met:
        path = Path(at=HOME)
        for x, z in radii:
            path.rapid(x=30).rapid(z=8).rapid(x=x).feed(z=z).rapid(x=30)
        return turned(path, resolution_mm=0.5)

    one = left(route)
    other = left([route[k] for k in np.random.default_rng(order).permutation(len(route))])
    assert (one.removed_mm3 >= 0.0).all()
    assert one.left.outer_mm == pytest.approx(other.left.outer_mm, abs=1e-12)
    total = one.removed_mm3.sum() + one.fallen_mm3.sum() + one.left.volume_mm3()
    assert total == pytest.approx(one.blank_mm3, abs=1e-6)


def test_a_finer_profile_comes_nearer_to_the_cone() -> None:
    exact = math.pi * (400 * 22 - 100 * 2) - math.pi * 20 / 3 * (100 + 200 + 400)
    path = Path(at=HOME).rapid(x=10, z=2.013).feed(z=0).feed(x=20, z=-20)
    errors = [abs(turned(path, resolution_mm=fine).removed_mm3.sum() - exact) for fine in (1.0, 0.1, 0.01)]
    assert errors[2] < errors[1] < errors[0]
