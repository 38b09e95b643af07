"""Grids and the points that feel them, against shapely's distances; slopes against differences."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from steadyrest.stock.nesting.descend import bent_at
from steadyrest.stock.nesting.feel import lack_at, reckon, settle
from steadyrest.stock.nesting.field import cell_for, field, points
from steadyrest.stock.nesting.floor import Ground, ground
from steadyrest.stock.nesting.press import energy, press
from steadyrest.stock.nesting.table import Table, table
from steadyrest.stock.nesting.wanted import NestPart, NestWanted
from tests.stock.nesting.cases import HOLES, PLATES, SHAPES, lies

outlines = st.builds(lambda shape, a, b: shape(a, b), st.sampled_from(SHAPES), st.integers(20, 90), st.integers(20, 90))
places = st.tuples(st.floats(-20, 320), st.floats(-70, 220), st.floats(0, 2 * math.pi), st.sampled_from((0.0, 1.0)))


def laid(wanted: NestWanted, poses: list[tuple[float, ...]]) -> tuple[Ground, Table]:
    at = ground(wanted)
    on = table(at)
    for part, pose in enumerate(poses):
        settle(on.forms, on.stand, part, int(on.base[part]), np.array(pose))
    on.stand.on[:] = True
    return at, on


@settings(max_examples=30, deadline=None)
@given(outlines, st.floats(0, 1), st.floats(0, 1))
def test_a_grid_holds_the_distance_to_the_edge_negative_inside(outline, across, up):
    shape = Polygon(outline)
    grid = field(shape, shape.bounds, cell_for(shape))
    row, column = int(up * (grid.depth.shape[0] - 1)), int(across * (grid.depth.shape[1] - 1))
    point = Point(grid.x0 + column * grid.cell, grid.y0 + row * grid.cell)
    assert math.isclose(abs(float(grid.depth[row, column])), shape.exterior.distance(point), abs_tol=1e-4)
    if shape.exterior.distance(point) > 1e-4:
        assert (grid.depth[row, column] < 0) == shape.contains(point)


@settings(max_examples=30, deadline=None)
@given(outlines)
def test_points_stand_for_the_whole_edge_and_some_lie_within(outline):
    shape = Polygon(outline)
    at, stands, on_edge = points(shape, field(shape, shape.bounds, cell_for(shape)))
    assert math.isclose(float(stands[:on_edge].sum()), shape.length, rel_tol=1e-9)
    assert all(shape.exterior.distance(Point(*xy)) < 1e-9 for xy in at[:on_edge].tolist())
    assert on_edge < len(at)
    assert all(shape.contains(Point(*xy)) for xy in at[on_edge:].tolist())


@settings(max_examples=40, deadline=None)
@given(outlines, outlines, places, places, st.sampled_from((0.0, 3.0, 8.0)))
def test_two_parts_feel_each_other_where_they_overlap_and_not_where_they_are_far(one, other, here, there, gap):
    wanted = NestWanted((NestPart("A", 1, one), NestPart("B", 1, other)), PLATES[0], (), gap, 0.0, 0.0, None, True)
    at, on = laid(wanted, [here, there])
    lacks = np.zeros((2, 2))
    reckon(on.forms, on.room, on.stand, lacks, 0)
    shapes = [lies(at.placed(k, np.array(p)), at.each[k].outline_mm) for k, p in enumerate((here, there))]
    # A grid is off by less than the diagonal of its cell.
    if shapes[0].distance(shapes[1]) > gap + 2 * on.reach:
        assert lacks[0, 1] == 0
    elif not shapes[0].intersection(shapes[1]).buffer(-8).is_empty:
        assert lacks[0, 1] > 0


@settings(max_examples=25, deadline=None)
@given(outlines, places, st.sampled_from(PLATES), st.sampled_from(HOLES), st.sampled_from((0.0, 4.0)))
def test_a_part_feels_plate_and_holes(outline, here, plate, holes, clear):
    wanted = NestWanted((NestPart("A", 1, outline),), plate, holes, 0.0, clear, clear, None, True)
    at, on = laid(wanted, [here])
    lacks = np.zeros((1, 1))
    reckon(on.forms, on.room, on.stand, lacks, 0)
    shape = lies(at.placed(0, np.array(here)), outline)
    room = Polygon(plate).buffer(-clear, join_style="mitre")
    for ring in holes:
        room = room.difference(Polygon(ring).buffer(clear))
    if room.buffer(-3 * on.reach).contains(shape):
        assert lacks[0, 0] == 0
    elif not shape.difference(room).buffer(-8).is_empty:
        assert lacks[0, 0] > 0


@settings(max_examples=20, deadline=None)
@given(outlines, outlines, places, st.floats(-30, 30), st.floats(-30, 30), st.floats(0, 6))
def test_slopes_are_those_of_the_energy(one, other, here, dx, dy, turn):
    holes = HOLES[2]
    wanted = NestWanted((NestPart("A", 1, one), NestPart("B", 1, other)), PLATES[1], holes, 3.0, 2.0, 2.0, None, True)
    there = (here[0] + dx, here[1] + dy, turn, 0.0)
    _, on = laid(wanted, [here, there])
    even, slope, still = np.ones((2, 2)), np.zeros((2, 3)), np.zeros(2)
    energy(on.forms, on.room, on.stand, even, still, slope)
    sums = np.zeros(9)
    value = bent_at(on.forms, on.room, on.stand, even, 0, int(on.stand.kind[0]), np.array(here), sums, np.inf)
    assert math.isclose(
        value,
        lack_at(on.forms, on.room, on.stand, even, 0, int(on.stand.kind[0]), np.array(here), np.inf),
        rel_tol=1e-9,
        abs_tol=1e-9,
    )
    # What the descent calls the slope of one part is half of the energy's.
    assert np.allclose(2 * sums[:3], slope[0], rtol=1e-7, atol=1e-6)
    eps, found, as_it_is = 1e-4, np.zeros(3), energy(on.forms, on.room, on.stand, even, still, np.zeros((2, 3)))
    for k in range(3):
        ends = list[float]()
        for side in (-1, 1):
            moved = np.array(here)
            moved[k] += side * eps
            settle(on.forms, on.stand, 0, int(on.base[0]), moved)
            ends.append(energy(on.forms, on.room, on.stand, even, still, np.zeros((2, 3))))
        found[k] = (ends[1] - ends[0]) / (2 * eps)
        before, after = (as_it_is - ends[0]) / eps, (ends[1] - as_it_is) / eps
        assume(abs(before - after) <= 0.05 * (1.0 + abs(found[k])))  # at a ridge there is no slope
    # A point that passes from cell to cell within the difference bends it a little.
    assert np.allclose(found, slope[0], rtol=0.05, atol=0.05 * (1.0 + np.abs(slope[0]).max()))


@settings(max_examples=30, deadline=None)
@given(outlines, outlines, places, st.floats(-30, 30), st.floats(-30, 30), st.booleans())
def test_pressing_never_makes_it_worse(one, other, here, dx, dy, free):
    wanted = NestWanted((NestPart("A", 1, one), NestPart("B", 1, other)), PLATES[0], (), 3.0, 2.0, 2.0, None, True)
    _, on = laid(wanted, [here, (here[0] + dx, here[1] + dy, 0.0, 0.0)])
    even, still = np.ones((2, 2)), np.zeros(2)
    before = energy(on.forms, on.room, on.stand, even, still, np.zeros((2, 3)))
    after = press(on.forms, on.room, on.stand, on.base, free, even, still, 40, 0.0)
    assert after <= before * (1 + 1e-9)
    assert free or on.stand.pose[0, 2] == here[2]
