"""The mill's field of heights: exact solids, the slow twin, and laws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis.strategies import booleans, floats, integers, lists, sampled_from, tuples

from steadyrest.program.removal.blank import BoxBlank, RoundBlank
from steadyrest.program.removal.meet import Met, meet
from steadyrest.program.removal.tool_shape import tool_shape
from tests.oracles import slow_removal as slow
from tests.program.removal.paths import Path

BLOCK = BoxBlank((0.0, 0.0, -20.0), (60.0, 40.0, 0.0))
POINT_RAD = math.radians(118.0)
TOOLS = {
    1: tool_shape(1, "end mill", diameter_mm=10.0),
    2: tool_shape(2, "drill", diameter_mm=8.0, point_rad=POINT_RAD),
    3: tool_shape(3, "ball end mill", diameter_mm=6.0),
    4: tool_shape(4, "end mill", diameter_mm=10.0, edge_mm=2.0),
    5: tool_shape(5, "face mill", diameter_mm=50.0),
}
SLOW = {
    1: slow.end_mill(5.0),
    2: slow.cone(4.0, POINT_RAD),
    3: slow.ball(3.0),
    4: slow.bull(5.0, 2.0),
}
QUICK = (Phase.explicit, Phase.generate)
numbers = sampled_from([1, 2, 3, 4])
points = tuples(floats(-8.0, 68.0), floats(-8.0, 48.0), floats(-12.0, 3.0))


def met(path: Path, blank=BLOCK, *, fine: float = 0.1) -> Met:
    return meet(path.moves(), blank, TOOLS, machine="mill", resolution_mm=fine)


def removed(path: Path, blank=BLOCK, *, fine: float = 0.1) -> float:
    found = met(path, blank, fine=fine)
    assert found.removed_mm3.sum() == pytest.approx(found.blank_mm3 - found.left.volume_mm3(), abs=1e-6)
    return float(found.removed_mm3.sum())


# Closed forms. A cell counts by its centre, so a wall's place is known to half a cell at worst; on round and slanting
# walls such errors cancel. Bound used: a tenth of (wall length x depth x cell), and 0.02 % for arcs as chords.


def bound(wall_mm: float, depth_mm: float, volume_mm3: float, fine: float = 0.1) -> float:
    return 0.1 * wall_mm * depth_mm * fine + 2e-4 * volume_mm3


def test_a_slot_is_its_length_and_its_round_ends() -> None:
    exact = (30.0 * 10.0 + math.pi * 25.0) * 4.0
    got = removed(Path().rapid(15.3, 20.02).rapid(z=1).feed(z=-4).feed(x=45.3))
    assert got == pytest.approx(exact, abs=bound(92.0, 4.0, exact))


def test_a_slanting_slot_is_as_big_as_one_along_an_axis() -> None:
    exact = (25.0 * 10.0 + math.pi * 25.0) * 4.0
    got = removed(Path().rapid(15, 10).rapid(z=1).feed(z=-4).feed(x=35, y=25))
    assert got == pytest.approx(exact, abs=bound(82.0, 4.0, exact))


def test_a_pocket_of_passes_is_its_area_with_rounded_corners() -> None:
    path = Path().rapid(15, 10).rapid(z=1).feed(z=-6)
    for step, y in enumerate((10.0, 16.0, 22.0, 28.0)):
        path.feed(y=y).feed(x=45.0 if step % 2 == 0 else 15.0)
    path.feed(x=15, y=28).feed(y=10).feed(x=45).feed(y=28)
    exact = (40.0 * 28.0 - (4.0 - math.pi) * 25.0) * 6.0
    assert removed(path) == pytest.approx(exact, abs=bound(136.0, 6.0, exact))


def test_a_helix_and_its_last_round_leave_a_ring_or_a_bore() -> None:
    for radius in (3.0, 8.0):
        path = Path().rapid(30 + radius, 20).rapid(z=1).feed(z=0)
        path.arc((30, 20, 0), (30 + radius, 20, -9), turns=5).arc((30, 20, 0), (30 + radius, 20, -9))
        exact = math.pi * ((radius + 5.0) ** 2 - max(radius - 5.0, 0.0) ** 2) * 9.0
        assert removed(path) == pytest.approx(exact, abs=bound(2 * math.pi * (radius + 5), 9.0, exact))


def test_a_drilled_hole_ends_in_its_point() -> None:
    high = 4.0 / math.tan(POINT_RAD / 2.0)
    exact = math.pi * 16.0 * (12.0 - high) + math.pi * 16.0 * high / 3.0
    whole = removed(Path().tool(2).drill(30, 20, r=2, z=-12))
    assert whole == pytest.approx(exact, abs=bound(26.0, 12.0, exact))
    assert removed(Path().tool(2).drill(30, 20, r=2, z=-12, peck=2.5)) == pytest.approx(whole, abs=1e-9)


def test_a_ball_plunged_to_its_equator_leaves_half_a_ball() -> None:
    exact = 2.0 / 3.0 * math.pi * 27.0
    assert removed(Path().tool(3).rapid(30, 20).rapid(z=1).feed(z=-3)) == pytest.approx(exact, rel=2e-3)


def test_a_faced_plate_loses_its_skin_and_nothing_else() -> None:
    path = Path().tool(5).rapid(-30, 10).rapid(z=-1.5).feed(x=90).feed(y=35).feed(x=-30)
    assert removed(path) == pytest.approx(60.0 * 40.0 * 1.5, rel=1e-12)
    assert met(path).left.heights_mm.min() == met(path).left.heights_mm.max() == -1.5


def test_a_groove_of_a_ball_going_down_a_slope_is_a_tilted_cylinder() -> None:
    # The ball's centre goes down a line of slope m; across the line it cuts a cylinder of the ball's radius, whose
    # lowest line lies R (sqrt(1 + m m) - 1) below the tip's path. Closed form of the envelope, at the path's middle.
    found = met(Path().tool(3).rapid(10, 20.05).rapid(z=2).feed(x=50, z=-6), fine=0.1)
    slope, x = -8.0 / 40.0, 30.05
    tip = 2.0 + slope * (x - 10.0)
    column = round((x - 0.05) / 0.1)
    row = round((20.05 - 0.05) / 0.1)
    assert found.left.heights_mm[row, column] == pytest.approx(tip - 3.0 * (math.sqrt(1 + slope**2) - 1.0), abs=1e-9)


@settings(max_examples=12, deadline=None, phases=QUICK)
@given(number=numbers, start=points, end=points)
def test_a_straight_move_cuts_as_the_tool_set_down_at_every_point_of_it(number: int, start, end) -> None:
    found = meet(Path(at=start).tool(number).feed(*end).moves(), BLOCK, TOOLS, machine="mill", resolution_mm=1.0)
    field = found.left
    x = field.corner_mm[0] + (np.arange(field.heights_mm.shape[1]) + 0.5) * field.cell_mm[0]
    y = field.corner_mm[1] + (np.arange(field.heights_mm.shape[0]) + 0.5) * field.cell_mm[1]
    count = 1500
    stations = slow.straight(np.array(start), np.array(end), count)
    want = slow.milled(np.zeros_like(field.heights_mm), x, y, stations, SLOW[number], -20.0)
    # The twin stands at finitely many points: it may leave more, by a step of the path, never less.
    step = math.dist(start, end) / (count - 1)
    assert (field.heights_mm <= want + 1e-9).all()
    edge = np.isclose(_distance(x, y, start, end), TOOLS[number].radius_mm, atol=step + 1e-9)
    steep = 1e-9 + 8.0 * step + 2.0 * math.sqrt(TOOLS[number].radius_mm * step) * (number in (3, 4))
    differ = (want - field.heights_mm > steep) & ~edge
    assert not differ.any()


def _distance(x, y, start, end):
    (ax, ay, _), (bx, by, _) = start, end
    long2 = (bx - ax) ** 2 + (by - ay) ** 2
    px, py = x[None, :] - ax, y[:, None] - ay
    t = np.clip((px * (bx - ax) + py * (by - ay)) / long2, 0, 1) if long2 > 0 else 0.0
    return np.hypot(px - t * (bx - ax), py - t * (by - ay))


@settings(max_examples=12, deadline=None, phases=QUICK)
@given(
    number=numbers, radius=floats(2.0, 15.0), begin=floats(0.0, 6.28), end=floats(0.0, 6.28), ccw=booleans(),
    turns=integers(0, 2), deep=floats(-6.0, 0.0),
)  # fmt: skip
def test_an_arc_cuts_as_the_tool_set_down_at_every_point_of_it(number, radius, begin, end, ccw, turns, deep) -> None:
    centre = np.array([30.0, 20.0, -2.0])
    start = centre + radius * np.array([math.cos(begin), math.sin(begin), 0.0])
    to = centre + radius * np.array([math.cos(end), math.sin(end), 0.0]) + np.array([0.0, 0.0, deep])
    path = Path(at=tuple(start)).tool(number).arc(centre, to, ccw=ccw, turns=turns)
    found = meet(path.moves(), BLOCK, TOOLS, machine="mill", resolution_mm=1.0)
    field = found.left
    x = field.corner_mm[0] + (np.arange(field.heights_mm.shape[1]) + 0.5) * field.cell_mm[0]
    y = field.corner_mm[1] + (np.arange(field.heights_mm.shape[0]) + 0.5) * field.cell_mm[1]
    stations = slow.circular(start, to, centre, ccw=ccw, turns=turns, count=1500)
    want = slow.milled(np.zeros_like(field.heights_mm), x, y, stations, SLOW[number], -20.0)
    wide = slow.milled(np.zeros_like(field.heights_mm), x, y, stations, _grown(number, 0.05), -20.0)
    # Chords stand 0.004 mm off: between the tool and one 0.05 mm larger all round there must be no cell outside.
    assert (field.heights_mm >= wide - 0.06).all()
    narrow = slow.milled(np.zeros_like(field.heights_mm), x, y, stations, _grown(number, -0.05), -20.0)
    assert (field.heights_mm <= narrow + 0.06).all()
    assert abs(float((field.heights_mm - want).sum())) <= 0.02 * abs(float(want.sum())) + 12.0


def _grown(number: int, by_mm: float) -> slow.Lift:
    if number == 1:
        return slow.end_mill(5.0 + by_mm)
    if number == 2:
        up = by_mm / math.sin(POINT_RAD / 2.0)
        plain = slow.cone(4.0 + by_mm, POINT_RAD)
        return lambda away: plain(away) - up
    if number == 3:
        plain = slow.ball(3.0 + by_mm)
        return lambda away: plain(away) - by_mm
    plain = slow.bull(5.0 + by_mm, 2.0 + by_mm)
    return lambda away: plain(away) - by_mm


cuts = lists(tuples(numbers, points, points), min_size=1, max_size=5)


@settings(max_examples=25, deadline=None, phases=QUICK)
@given(cuts=cuts)
def test_metal_only_goes_and_what_went_and_what_is_left_are_the_blank(cuts) -> None:
    path = Path()
    for number, start, end in cuts:
        path.tool(number).rapid(*start).feed(*end)
    found = meet(path.moves(), BLOCK, TOOLS, machine="mill", resolution_mm=1.0)
    assert (found.removed_mm3 >= 0.0).all()
    assert found.removed_mm3.sum() + found.left.volume_mm3() == pytest.approx(found.blank_mm3, abs=1e-6)
    assert found.left.heights_mm.min() >= -20.0
    assert found.left.heights_mm.max() <= 0.0


@settings(max_examples=25, deadline=None, phases=QUICK)
@given(cuts=cuts, order=integers(0, 10**6))
def test_the_order_of_cuts_changes_nothing_in_what_is_left(cuts, order: int) -> None:
    def left(sequence) -> np.ndarray:
        path = Path()
        for number, start, end in sequence:
            path.tool(number)
            path.at = np.array(start)
            path.feed(*end)
        return meet(path.moves(), BLOCK, TOOLS, machine="mill", resolution_mm=1.0).left.heights_mm

    other = [cuts[k] for k in np.random.default_rng(order).permutation(len(cuts))]
    assert left(cuts) == pytest.approx(left(other), abs=1e-9)


def test_a_finer_field_comes_nearer_to_the_solid() -> None:
    exact = math.pi * 64.0 * 9.0
    errors = []
    for fine in (1.0, 0.25, 0.0625):
        path = Path().rapid(33.013, 20.027).rapid(z=1).feed(z=-9).arc((30.013, 20.027, 0), (33.013, 20.027, -9))
        errors.append(abs(removed(path, fine=fine) - exact))
    assert errors[2] < 0.05 * errors[0] + 0.3
    assert errors[2] < 1e-3 * exact


def test_a_round_blank_stands_upright_about_the_zero() -> None:
    found = met(Path().rapid(0, 0).rapid(z=1).feed(z=-2), RoundBlank(30.0, (-10.0, 0.0)))
    assert found.blank_mm3 == pytest.approx(math.pi * 225.0 * 10.0, rel=1e-3)
    assert found.removed_mm3.sum() == pytest.approx(math.pi * 25.0 * 2.0, rel=2e-3)


def test_what_one_run_left_is_the_blank_of_the_next() -> None:
    first = Path().rapid(15, 20).rapid(z=1).feed(z=-4).feed(x=30).rapid(z=5)
    second = Path().rapid(30, 20).rapid(z=-4).feed(x=45).rapid(z=5)
    one = met(first)
    before = one.left.heights_mm.copy()
    two = meet(second.moves(), one.left, TOOLS, machine="mill")
    assert two.rapids_into_stock.size == 0
    assert (one.left.heights_mm == before).all()
    assert two.blank_mm3 == pytest.approx(one.left.volume_mm3())
    whole = Path().rapid(15, 20).rapid(z=1).feed(z=-4).feed(x=45)
    assert (two.left.heights_mm == met(whole).left.heights_mm).all()
    with pytest.raises(ValueError, match="lathe cannot take up"):
        meet(second.moves(), one.left, TOOLS, machine="lathe")


def test_it_stops_when_it_is_told_to() -> None:
    with pytest.raises(InterruptedError):
        meet(Path().rapid(1, 1).moves(), BLOCK, TOOLS, machine="mill", stop=lambda: True)


def test_a_run_without_moves_leaves_the_blank() -> None:
    found = met(Path())
    assert found.left.volume_mm3() == found.blank_mm3 == pytest.approx(60.0 * 40.0 * 20.0)
    assert found.stretches == ()
