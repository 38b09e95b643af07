"""Convex pieces and how near they stand, against shapely's own areas and distances."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from shapely.ops import unary_union

from steadyrest.stock.nesting.exact import stand_exactly
from steadyrest.stock.nesting.floor import ground
from steadyrest.stock.nesting.near import lack_between, lack_inside
from steadyrest.stock.nesting.pieces import convex_pieces
from steadyrest.stock.nesting.wanted import NestPart, NestWanted
from tests.stock.nesting.cases import HOLES, PLATES, SHAPES, lies

outlines = st.builds(lambda shape, a, b: shape(a, b), st.sampled_from(SHAPES), st.integers(10, 90), st.integers(10, 90))
places = st.tuples(st.floats(-20, 320), st.floats(-70, 220), st.floats(0, 2 * math.pi), st.sampled_from((0.0, 1.0)))


@st.composite
def stars(draw: st.DrawFn) -> Polygon:
    far = draw(st.lists(st.integers(2, 20), min_size=3, max_size=14))
    at = [
        (r * math.cos(2 * math.pi * k / len(far)), r * math.sin(2 * math.pi * k / len(far))) for k, r in enumerate(far)
    ]
    return Polygon(at)


@settings(max_examples=100, deadline=None)
@given(stars())
def test_pieces_are_convex_and_together_the_outline(shape):
    pieces = [Polygon(piece) for piece in convex_pieces(shape)]
    assert all(math.isclose(piece.area, piece.convex_hull.area, rel_tol=1e-9) for piece in pieces)
    assert math.isclose(sum(piece.area for piece in pieces), shape.area, rel_tol=1e-9)
    assert unary_union(pieces).symmetric_difference(shape).area < 1e-6


@settings(max_examples=150, deadline=None)
@given(outlines, outlines, places, places, st.sampled_from((0.0, 3.0, 8.0)))
def test_nothing_lacks_exactly_where_two_parts_are_far_enough(one, other, here, there, gap):
    wanted = NestWanted((NestPart("A", 1, one), NestPart("B", 1, other)), PLATES[0], (), gap, 0.0, 0.0, None, True)
    at = ground(wanted)
    poses = np.array([here, there])
    at.floor.active[:] = True
    stand_exactly(at, poses)
    shapes = [lies(at.placed(part, poses[part]), at.each[part].outline_mm) for part in range(2)]
    distance = shapes[0].distance(shapes[1])
    lacks = lack_between(at.floor, 0, 1, gap, math.inf)
    if distance > gap + 1e-7:
        assert lacks == 0
    elif 0 < distance < gap - 1e-7:
        # Every pair of pieces counts; the nearest pair lacks what the shapes lack.
        assert lacks >= gap - distance - 1e-7
    elif shapes[0].intersection(shapes[1]).area > 1e-6:
        assert lacks > gap


@settings(max_examples=150, deadline=None)
@given(outlines, places, st.sampled_from(PLATES), st.sampled_from(HOLES), st.sampled_from((0.0, 4.0)))
def test_nothing_lacks_exactly_where_a_part_is_clear_inside(outline, here, plate, holes, clear):
    wanted = NestWanted((NestPart("A", 1, outline),), plate, holes, 0.0, clear, clear, None, True)
    at = ground(wanted)
    pose = np.array(here)
    at.floor.active[:] = True
    stand_exactly(at, np.array([here]))
    shape = lies(at.placed(0, pose), outline)
    edge = Polygon(plate)
    room = shape.distance(edge.exterior) if edge.contains(shape) else -1.0
    room = min([room, *(-1.0 if shape.intersects(Polygon(hole)) else shape.distance(Polygon(hole)) for hole in holes)])
    lacks = lack_inside(at.kinds, at.floor, at.bounds, 0, 1, math.inf)
    if room > clear + 1e-7:
        assert lacks == 0
    elif room < clear - 1e-7:
        assert lacks > 0
