"""From lines to outlines: closed, mended, lost or doubted, each said by place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.trouble import BadInput
from steadyrest.wording.say import say
from tests.part.flat.tags import (
    arc,
    block,
    circle,
    drawing,
    insert,
    layer,
    line,
    lines,
    polyline,
    read,
    rectangle,
    said,
    sizes,
    tags,
)

PLATE = rectangle(0, 0, 100, 60)


def test_lines_in_any_order_and_either_way_round_are_one_outline() -> None:
    part = read(drawing(line(0, 0, 0, 60) + line(100, 60, 0, 60) + line(0, 0, 100, 0) + line(100, 60, 100, 0)))
    assert (part.kind, part.solids, part.size_mm) == ("flat", 1, (100.0, 60.0, 0.0))
    assert part.flat is not None
    assert part.flat.area.value == pytest.approx(6000)
    assert part.flat.cut_length.value == pytest.approx(320)
    assert not part.repaired
    assert not part.lost


def test_a_small_gap_is_closed_and_said() -> None:
    part = read(drawing(lines([(0, 0), (100, 0), (100, 60), (0, 60), (0, 0.015)])))
    assert said(part, "repaired") == {"flat.repaired_gap"}
    assert "x 0 y 0" in say(part.repaired[0])
    assert not part.lost


def test_a_larger_gap_is_refused_by_layer_and_place() -> None:
    with pytest.raises(BadInput) as trouble:
        read(drawing(lines([(120.4, 88.1), (220, 88.1), (220, 150), (120.4, 150), (120.4, 88.42)], "CUT")))
    assert "plate.dxf, layer CUT, near x 120.4 y 88.1: the outline is open by 0.32 mm." in trouble.value.line()


def test_a_hole_that_does_not_close_is_lost_and_never_repaired() -> None:
    part = read(drawing(PLATE + lines([(10, 10), (30, 10), (30, 30), (10, 30), (10, 10.3)])))
    assert said(part, "lost") == {"flat.lost_open"}
    assert not part.repaired
    assert "flat.open" in said(part, "doubts")


def test_in_a_file_without_a_unit_a_gap_must_be_smaller() -> None:
    gap = lines([(0, 0), (4, 0), (4, 2), (0, 2), (0, 0.015)])
    with pytest.raises(BadInput, match=r"open by 0\.015"):
        read(drawing(gap, unit=0))
    assert read(drawing(gap, unit=0), "mm").solids == 1


def test_what_is_drawn_twice_is_kept_once_and_said_by_place() -> None:
    part = read(drawing(PLATE + line(100, 0, 0, 0) + circle(50, 30, 5) + circle(50, 30, 5)))
    assert sizes(part, "bore") == [(10.0,)]
    assert said(part, "repaired") == {"flat.repaired_twice"}
    assert "x 50 y 0" in say(part.repaired[0])


def test_pieces_that_overlap_on_one_line_are_one_edge() -> None:
    whole = lines([(100, 0), (100, 60), (0, 60), (0, 0)])
    part = read(drawing(whole + line(0, 0, 70, 0) + line(30, 0, 100, 0)))
    assert part.flat is not None
    assert [len(outline.edges) for outline in part.flat.outlines] == [4]
    assert said(part, "repaired") == {"flat.repaired_twice"}


def test_arcs_that_overlap_on_one_circle_are_one_circle() -> None:
    part = read(drawing(PLATE + arc(50, 30, 8, 0, 200) + arc(50, 30, 8, 170, 360)))
    assert sizes(part, "bore") == [(16.0,)]


def test_a_line_across_is_an_inner_line_and_cuts_nothing() -> None:
    halves = lines([(0, 0), (50, 0), (100, 0), (100, 60), (50, 60), (0, 60), (0, 0)])
    part = read(drawing(halves + line(50, 0, 50, 60)))
    assert part.solids == 1
    assert part.flat is not None
    assert part.flat.area.value == pytest.approx(6000)
    assert said(part, "lost") == {"flat.lost_inner"}
    assert "flat.inner" in said(part, "doubts")


def test_two_outlines_that_touch_in_a_corner_are_two_parts() -> None:
    part = read(drawing(rectangle(0, 0, 10, 10) + rectangle(10, 10, 30, 30)))
    assert part.solids == 2
    assert part.flat is not None
    assert part.flat.area.value == pytest.approx(500)


def test_crossings_are_doubted_by_place() -> None:
    bow = read(drawing(lines([(0, 0), (40, 40), (40, 0), (0, 30), (0, 0)])))
    assert "flat.crosses_itself" in said(bow, "doubts")
    over = read(drawing(PLATE + circle(100, 30, 10)))
    texts = [say(d.what) for d in over.doubts if d.what.key == "flat.crosses_other"]
    assert texts == ["two outlines cross near x 100 y 20, x 100 y 40"]


def test_a_smooth_corner_with_rounded_numbers_is_no_crossing() -> None:
    r = 7.3333
    slot = polyline([(0, 0, 0), (50.1234, 0, 0.9999), (50.1234, 2 * r, 0), (0, 2 * r, 1.0001)])
    assert not {k for k in said(read(drawing(slot)), "doubts") if "cross" in k}


def test_depth_decides_between_outside_hole_and_part_in_a_hole() -> None:
    part = read(drawing(PLATE + circle(50, 30, 25) + circle(50, 30, 20) + circle(50, 30, 5)))
    assert part.solids == 2
    assert part.flat is not None
    assert [(o.inside, o.body) for o in part.flat.outlines] == [(False, 0), (True, 0), (False, 1), (True, 1)]
    want = 6000 - math.pi * (25**2 - 20**2 + 5**2)
    assert part.flat.area.value == pytest.approx(want)


def test_outsides_run_to_the_left_and_cut_outs_to_the_right() -> None:
    part = read(drawing(lines([(0, 0), (0, 60), (100, 60), (100, 0), (0, 0)]) + circle(50, 30, 5)))
    assert part.flat is not None
    outside, hole = part.flat.outlines
    turns = sum(a.start[0] * a.end[1] - a.start[1] * a.end[0] for a in outside.edges)
    assert turns > 0
    assert hole.edges[0].turn_rad < 0


def test_a_block_is_turned_scaled_and_mirrored_where_it_is_inserted() -> None:
    held = block("L", lines([(0, 0), (30, 0), (30, 10), (10, 10), (10, 20), (0, 20), (0, 0)]) + circle(5, 5, 2))
    part = read(drawing(insert("L", 100, 50, (50, 90), (41, -2), (42, 2)), blocks=held))
    assert part.size_mm == pytest.approx((40, 60, 0))
    assert sizes(part, "bore") == [(8.0,)]
    hole = next(f for f in part.features if f.kind == "bore")
    assert hole.at_mm == pytest.approx((90, 40, 0))  # (5, 5) scaled to (-10, 10), turned to (-10, -10)


def test_blocks_in_blocks_and_in_rows_are_put_in_place() -> None:
    held = block("hole", circle(0, 0, 1)) + block("pair", insert("hole", 5, 0) + insert("hole", -5, 0))
    rows = insert("pair", 20, 20, (70, 3), (71, 2), (44, 20), (45, 20))
    part = read(drawing(PLATE + rows, blocks=held))
    at = sorted((round(f.at_mm[0]), round(f.at_mm[1])) for f in part.features if f.kind == "bore")
    assert at == sorted((20 + 20 * i + s, 20 + 20 * j) for i in range(3) for j in range(2) for s in (5, -5))


def test_a_circle_scaled_unevenly_is_an_ellipse_and_said_to_be_kept_as_short_lines() -> None:
    part = read(drawing(PLATE + insert("hole", 50, 30, (41, 2.0), (42, 1.0)), blocks=block("hole", circle(0, 0, 5))))
    assert said(part, "lost") == {"flat.lost_flattened"}
    assert part.flat is not None
    assert part.flat.area.value == pytest.approx(6000 - math.pi * 10 * 5, rel=1e-4)


def test_what_nothing_is_cut_along_is_counted_and_said() -> None:
    aside = tags((0, "TEXT"), (8, "0"), (1, "M6")) + tags((0, "POINT"), (8, "0"), (10, 1), (20, 1)) * 2
    paper = line(0, 0, 500, 0, "0", (67, 1))
    part = read(drawing(PLATE + aside + paper + tags((0, "REGION"), (8, "0"))))
    assert [say(r) for r in part.lost] == [
        "left out: 1 of kind region, which is not read",
        "left out: 1 in paper space",
        "left out, since nothing is cut along them: 2 points, 1 text",
    ]


def test_layers_that_are_off_or_frozen_are_left_out_and_said() -> None:
    off = layer("old", colour=-3) + layer("older", flags=1)
    part = read(drawing(PLATE + circle(20, 20, 5, "old") + circle(60, 20, 5, "older"), layers=off))
    assert not sizes(part, "bore")
    assert "(old, older)" in say(part.lost[0])


def test_bend_lines_and_engraving_are_marked_and_not_cut() -> None:
    part = read(drawing(PLATE + line(50, 0, 50, 60, "Biegelinien") + circle(20, 20, 5, "gravure_1")))
    assert part.flat is not None
    assert [(m.role, m.layer, len(m.edges)) for m in part.flat.markings] == [
        ("bend", "Biegelinien", 1),
        ("engrave", "gravure_1", 1),
    ]
    assert "flat.bend_lines" in said(part, "doubts")
    assert not sizes(part, "bore")


def test_the_unit_of_the_header_is_taken_and_a_missing_one_asked() -> None:
    inch = read(drawing(rectangle(0, 0, 4, 2), unit=1))
    assert (inch.unit.name, inch.unit.state, inch.size_mm) == ("in", "sure", pytest.approx((101.6, 50.8, 0)))
    for missing in (0, None):
        asked = read(drawing(rectangle(0, 0, 4, 2), unit=missing))
        assert (asked.unit.state, asked.size_mm) == ("ask", (4.0, 2.0, 0.0))
        assert all(s.nominal is None for f in asked.features for s in f.sizes)
        assert read(drawing(rectangle(0, 0, 4, 2), unit=missing), "in").size_mm == pytest.approx((101.6, 50.8, 0))


def test_a_header_that_the_size_contradicts_is_asked_about_and_a_given_unit_settles_it() -> None:
    data = drawing(rectangle(0, 0, 400, 300), unit=6)
    asked = read(data)
    assert (asked.unit.state, asked.size_mm[0]) == ("ask", 400.0)
    assert asked.unit.why.key == "flat.unit_contradicted"
    told = read(data, "mm")
    assert (told.unit.state, told.size_mm[0]) == ("sure", 400.0)


def test_a_unit_beside_a_sound_header_is_doubted() -> None:
    part = read(drawing(PLATE), "in")
    assert part.size_mm[0] == 100.0
    assert "read.unit_both" in said(part, "doubts")


def test_the_thickness_is_asked() -> None:
    part = read(drawing(PLATE))
    assert part.volume_mm3 is None
    assert "flat.thickness" in said(part, "doubts")


@given(
    corners=st.lists(st.tuples(st.integers(-400, 400), st.integers(-400, 400)), min_size=1, max_size=12, unique=True),
    angle=st.floats(0, 6.28),
    data=st.data(),
)
@settings(deadline=None, max_examples=40)
def test_area_and_length_do_not_depend_on_order_direction_or_place(corners, angle, data) -> None:
    """A star-shaped outline: its corners by angle about the middle, so that it never crosses itself."""
    n = max(3, len(corners))
    points = [
        ((50 + 3 * (x % 40)) * math.cos(2 * math.pi * k / n), (50 + 3 * (x % 40)) * math.sin(2 * math.pi * k / n))
        for k, (x, _) in enumerate((corners * 3)[:n])
    ]
    turned = [
        (x * math.cos(angle) - y * math.sin(angle) + 77, x * math.sin(angle) + y * math.cos(angle) - 12)
        for x, y in points
    ]
    edges = list(zip(points, points[1:] + points[:1], strict=True))
    moved = data.draw(st.permutations(list(zip(turned, turned[1:] + turned[:1], strict=True))))
    flips = data.draw(st.lists(st.booleans(), min_size=n, max_size=n))
    one = read(drawing("".join(line(*a, *b) for a, b in edges)))
    other = read(drawing("".join(line(*b, *a) if f else line(*a, *b) for (a, b), f in zip(moved, flips, strict=True))))
    assert one.flat is not None
    assert other.flat is not None
    assert other.flat.area.value == pytest.approx(one.flat.area.value, rel=1e-9)
    assert other.flat.cut_length.value == pytest.approx(one.flat.cut_length.value, rel=1e-9)
    shoelace = abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in edges)) / 2
    assert one.flat.area.value == pytest.approx(shoelace, rel=1e-9)
