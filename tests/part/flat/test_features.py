"""What a machinist would name on a flat part, and near misses that must not be named so."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.part.flat.tags import arc, circle, drawing, line, lines, polyline, read, rectangle, said, sizes

PLATE = rectangle(0, 0, 200, 120)
SEMI = 1.0  # bulge of a half circle


def ring(n: int, r: float, x: float = 0, y: float = 0, first: float = 0.0) -> list[tuple[float, float]]:
    turns = [first + 2 * math.pi * k / n for k in range(n + 1)]
    return [(x + r * math.cos(t), y + r * math.sin(t)) for t in turns[:-1]] + [
        (x + r * math.cos(first), y + r * math.sin(first))
    ]


def test_a_rectangle_is_two_pairs_of_faces_and_nothing_else() -> None:
    part = read(drawing(PLATE))
    assert sizes(part, "face") == [(120.0,), (200.0,)]
    assert not sizes(part, "free")


def test_a_disc_and_a_ring_are_round_and_a_drilled_disc_is_not() -> None:
    assert read(drawing(circle(5, 5, 50))).axisymmetric
    assert read(drawing(circle(5, 5, 50) + circle(5, 5, 20))).axisymmetric
    assert not read(drawing(circle(5, 5, 50) + circle(5, 5.1, 20))).axisymmetric
    drilled = read(drawing(circle(5, 5, 50) + circle(30, 5, 4)))
    assert not drilled.axisymmetric
    assert sizes(drilled, "shaft") == [(100.0,)]


def test_holes_are_bores_that_go_through() -> None:
    part = read(drawing(PLATE + circle(30, 40, 4.25)))
    hole = next(f for f in part.features if f.kind == "bore")
    assert (hole.through, hole.inside, hole.at_mm) == (True, True, (30.0, 40.0, 0.0))
    assert sizes(part, "bore") == [(8.5,)]


def test_a_slot_with_round_ends_has_width_and_length() -> None:
    drawn = polyline([(50, 40, 0), (80, 40, SEMI), (80, 52, 0), (50, 52, SEMI)])
    part = read(drawing(PLATE + drawn))
    assert sizes(part, "slot") == [(12.0, 42.0)]
    assert not sizes(part, "fillet")


def test_near_a_slot_with_flatter_ends_is_none() -> None:
    drawn = polyline([(50, 40, 0), (80, 40, 0.9), (80, 52, 0), (50, 52, 0.9)])
    part = read(drawing(PLATE + drawn))
    assert not sizes(part, "slot")
    assert (44.0 - 2 + 0, 12.0) not in sizes(part, "slot")


def test_a_turned_square_cut_out_is_a_pocket_and_rounded_corners_are_fillets() -> None:
    c, s = math.cos(0.3), math.sin(0.3)
    corners = [(-10, -5), (10, -5), (10, 5), (-10, 5), (-10, -5)]
    turned = [(60 + c * x - s * y, 60 + s * x + c * y) for x, y in corners]
    q = math.tan(math.pi / 8)
    rounded = polyline(
        [(102, 40, 0), (118, 40, q), (120, 42, 0), (120, 58, q), (118, 60, 0), (102, 60, q), (100, 58, 0), (100, 42, q)]
    )
    part = read(drawing(PLATE + lines(turned) + rounded))
    assert sizes(part, "pocket") == [(10.0, 20.0), (20.0, 20.0)]
    assert sizes(part, "fillet") == [(2.0,)] * 4
    assert all(f.inside for f in part.features if f.kind == "fillet")


def test_a_parallelogram_is_no_pocket() -> None:
    part = read(drawing(PLATE + lines([(40, 40), (60, 40), (60.3, 50), (40.3, 50), (40, 40)])))
    assert not sizes(part, "pocket")
    assert len(sizes(part, "free")) == 1


def test_six_even_sides_are_a_hexagon_across_flats() -> None:
    across = 17.0
    part = read(drawing(PLATE + lines(ring(6, across / math.sqrt(3), 60, 60))))
    assert sizes(part, "hexagon") == [(17.0,)]
    squashed = [(x, 60 + 0.97 * (y - 60)) for x, y in ring(6, across / math.sqrt(3), 60, 60)]
    assert not sizes(read(drawing(PLATE + lines(squashed))), "hexagon")


def test_eight_sides_are_an_octagon_and_no_circle() -> None:
    part = read(drawing(lines(ring(8, 100))))
    across = 200 * math.cos(math.pi / 8)
    assert sizes(part, "face") == [(round(across, 4),)] * 4
    assert "flat.repaired_chords" not in said(part, "repaired")


@given(n=st.integers(16, 120), r=st.floats(2, 40), first=st.floats(0, 6))
@settings(deadline=None, max_examples=30)
def test_a_circle_of_short_lines_is_a_bore_and_said(n: int, r: float, first: float) -> None:
    part = read(drawing(rectangle(-50, -50, 50, 50) + lines(ring(n, r, first=first))))
    (diameter,) = (f.sizes[0].estimate for f in part.features if f.kind == "bore")
    assert diameter == pytest.approx(2 * r, rel=1e-6)
    assert "flat.repaired_chords" in said(part, "repaired")


def test_rounded_corners_of_short_lines_are_fillets() -> None:
    def corner(cx: float, cy: float, first: float) -> list[tuple[float, float]]:
        return [(cx + 8 * math.cos(t), cy + 8 * math.sin(t)) for t in (first + math.pi / 2 * k / 12 for k in range(13))]

    points = corner(192, 112, 0) + corner(8, 112, math.pi / 2) + corner(8, 8, math.pi) + corner(192, 8, 1.5 * math.pi)
    part = read(drawing(lines([*points, points[0]])))
    assert sizes(part, "fillet") == [(8.0,)] * 4
    assert sizes(part, "face") == [(120.0,), (200.0,)]


def test_two_half_circles_are_one_bore() -> None:
    assert sizes(read(drawing(PLATE + arc(50, 50, 6, 0, 180) + arc(50, 50, 6, 180, 360))), "bore") == [(12.0,)]


def test_a_keyed_bore_is_a_bore_with_a_groove_whose_depth_counts_from_its_wall() -> None:
    r, half, floor = 12.5, 4.0, 12.5 + 3.3
    y = math.sqrt(r * r - half * half)
    first, last = math.degrees(math.atan2(y, -half)), math.degrees(math.atan2(y, half)) + 360
    groove = lines([(half, y), (half, floor), (-half, floor), (-half, y)])
    part = read(drawing(circle(0, 0, 40) + arc(0, 0, r, first, last) + groove))
    assert sizes(part, "bore") == [(25.0,)]
    assert sizes(part, "keyway") == [(8.0, 3.3)]
    assert next(f for f in part.features if f.kind == "keyway").on == next(
        f.id for f in part.features if f.kind == "bore"
    )


def test_a_flat_in_a_bore_is_no_keyway() -> None:
    r, y = 10.0, 8.0
    x = math.sqrt(r * r - y * y)
    a, b = math.degrees(math.atan2(y, -x)), math.degrees(math.atan2(y, x)) + 360
    part = read(drawing(circle(0, 0, 40) + arc(0, 0, r, a, b) + line(-x, y, x, y)))
    assert not sizes(part, "keyway")
    assert sizes(part, "bore") == [(20.0,)]


def test_a_slot_open_at_the_edge_is_a_slot() -> None:
    outline = polyline(
        [(0, 0, 0), (100, 0, 0), (100, 60, 0), (56, 60, 0), (56, 30, -SEMI), (44, 30, 0), (44, 60, 0), (0, 60, 0)]
    )
    part = read(drawing(outline))
    assert sizes(part, "slot") == [(12.0, 36.0)]


def test_bolt_circles_are_found_and_a_square_of_holes_is_none() -> None:
    holes = "".join(circle(x, y, 4.5) for x, y in ring(6, 40)[:-1])
    part = read(drawing(circle(0, 0, 60) + circle(0, 0, 20) + holes))
    assert [(p.kind, p.count, p.diameter_mm) for p in part.patterns] == [("bolt circle", 6, pytest.approx(80.0))]
    assert all(f.pattern == "P1" for f in part.features if f.kind == "bore" and f.sizes[0].estimate == 9)
    square = "".join(circle(x, y, 4.5) for x in (20, 60) for y in (20, 60))
    assert not read(drawing(rectangle(0, 0, 80, 80) + square)).patterns


def test_numbers_of_features_do_not_change_with_the_order_of_the_file() -> None:
    parts = [circle(30, 40, 4), circle(60, 40, 4), rectangle(90, 30, 110, 50), PLATE]
    one, other = read(drawing("".join(parts))), read(drawing("".join(reversed(parts))))
    assert [(f.id, f.kind, f.at_mm) for f in one.features] == [(f.id, f.kind, f.at_mm) for f in other.features]


def test_an_inch_plate_is_named_in_inches() -> None:
    part = read(drawing(rectangle(0, 0, 4, 2) + circle(1, 1, 0.28125), unit=1))
    bore = next(f for f in part.features if f.kind == "bore")
    assert bore.sizes[0].nominal is not None
    assert bore.sizes[0].nominal.shown == "9/16 in"
    assert bore.sizes[0].nominal.state == "sure"
