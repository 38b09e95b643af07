"""Where a hold point is owed: the grid of swept paths against the distance between them, worked out exactly."""

from __future__ import annotations

import math
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.program.findings.finding import Case
from steadyrest.program.findings.hold_point import hold_points
from steadyrest.program.timing.machine_time import run_time, timing_of
from steadyrest.shop.leaving import LeavingMachine, LeavingTool
from tests.program.hand_runs import run_of

Point = tuple[float, float]
ROUGH, FINISH = 6.0, 10.0
MACHINE = LeavingMachine(
    name="m", kind="mill", may_run_alone=True, rapid_mm_min=(6000.0,) * 3, accel_mm_s2=500.0,
    tools=(LeavingTool(1, role="rough", diameter_mm=ROUGH), LeavingTool(2, role="finish", diameter_mm=FINISH)),
)  # fmt: skip
UNSURE_MM = 1.5  # three cells: nearer to touching than this the grid may say either

points = st.tuples(st.integers(0, 120).map(float), st.integers(0, 120).map(float))
paths = st.lists(points, min_size=2, max_size=4)


def to_segment(p: Point, a: Point, b: Point) -> float:
    long2 = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    t = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / long2 if long2 else 0.0
    t = min(max(t, 0.0), 1.0)
    return math.dist(p, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))


def crosses(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def apart(one: list[Point], other: list[Point]) -> float:
    """The least distance between two paths of straight pieces."""
    found = math.inf
    for a, b in pairwise(one):
        for c, d in pairwise(other):
            if crosses(a, b, c, d):
                return 0.0
            found = min(found, to_segment(a, c, d), to_segment(b, c, d), to_segment(c, a, b), to_segment(d, a, b))
    return found


def cut(path: list[Point]) -> list[tuple]:
    (x, y), *rest = path
    return [("rapid", x, y, 5), ("feed", x, y, -2), *[("feed", a, b, -2) for a, b in rest], ("rapid", *path[-1], 5)]


@settings(deadline=None, max_examples=150)
@given(rough=paths, finish=paths)
def test_it_is_owed_exactly_where_the_two_tools_sweep_the_same_ground(rough: list[Point], finish: list[Point]) -> None:
    gap = apart(rough, finish) - (ROUGH + FINISH) / 2
    if abs(gap) < UNSURE_MM:
        return
    run = run_of([("tool", 1), *cut(rough), ("tool", 2), *cut(finish)])
    found = hold_points(Case(run, run_time(run, timing_of(MACHINE)), MACHINE, None))
    assert bool(found) is (gap < 0)


@settings(deadline=None, max_examples=50)
@given(rough=paths, finish=paths)
def test_measured_between_it_is_never_owed(rough: list[Point], finish: list[Point]) -> None:
    run = run_of([("tool", 1), *cut(rough), ("check", 1.0), ("tool", 2), *cut(finish)])
    assert hold_points(Case(run, run_time(run, timing_of(MACHINE)), MACHINE, None)) == ()
