"""Blanks of milled parts: how a part lies in bar, what comes off each side, and every piece's no."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis.strategies import floats, integers, sampled_from, tuples

from steadyrest.shop.floor import Piece
from steadyrest.shop.part import Part, UnitSaid
from steadyrest.stock.block import SAME_MM, box_mm, in_hexagon, in_round, lies
from steadyrest.stock.block_choice import block_choices
from steadyrest.stock.section import section_mm2
from steadyrest.wording.say import say
from tests.stations.parts import WHY, demo_shop, size

LENGTHS = tuples(floats(3, 300), floats(3, 300), floats(3, 300)).map(lambda s: tuple(sorted(s, reverse=True)))


def block(size_mm: tuple[float, float, float]) -> Part:
    length, width, thickness = size_mm
    return Part("block", "solid", UnitSaid("mm", "sure", WHY), size_mm, length * width * thickness, (), False)


def piece(shape: str, size_mm: tuple[float, ...], length_mm: float, condition: str = "bright drawn") -> Piece:
    return Piece("X1", shape, size_mm, length_mm, "C45", condition, "here", "", Decimal(20))  # type: ignore[arg-type]


def shop_with(*pieces: Piece):
    return replace(demo_shop(), pieces=pieces)


def asked(part: Part, *pieces: Piece, quantity: int = 1):
    shop = shop_with(*pieces)
    return block_choices(part, material=shop.material("C45"), quantity=quantity, shop=shop)


@settings(deadline=None, max_examples=60)
@given(size_mm=LENGTHS, quantity=integers(1, 400))
def test_every_blank_holds_its_part_with_something_to_mill_or_a_face_that_stays(size_mm, quantity: int) -> None:
    found, _ = asked(block(size_mm), quantity=quantity)
    for choice in found:
        for axis, (has, wants) in enumerate(zip(box_mm(choice.blank), size_mm, strict=True)):
            stays = [n for n, a in (("width", 1), ("thickness", 2)) if choice.blank.axes[a] == axis]
            if stays and stays[0] in choice.blank.as_stock:
                assert abs(has - wants) <= SAME_MM
            else:
                assert has >= wants + 1.0 - 1e-9
        assert choice.blank.mass_kg == pytest.approx(
            section_mm2(choice.blank.shape, choice.blank.size_mm) * choice.blank.length_mm * 1e-9 * 7850, rel=0.01
        )


def test_bright_flat_of_the_part_s_own_section_stays_and_costs_no_milling() -> None:
    part = block((80.0, 40.0, 12.0))
    found, _ = asked(part, piece("flat", (40.0, 12.0), 500.0))
    mine = next(choice for choice in found if choice.piece)
    assert set(mine.blank.as_stock) == {"width", "thickness"}
    assert mine.blank.length_mm == pytest.approx(80.0 + 2 * demo_shop().habits.facing_mm)


def test_hot_rolled_flat_of_the_part_s_own_section_does_not_clean_up() -> None:
    _, refused = asked(block((80.0, 40.0, 12.0)), piece("flat", (40.0, 12.0), 500.0, "hot rolled"))
    said = [say(reason) for no in refused for reason in no.reasons]
    assert said == ["X1 is 40 mm x 12 mm; 43 mm x 15 mm is wanted to clean up, and no other way of lying fits either"]


def test_a_part_may_lie_across_the_bar_where_that_takes_less_of_it() -> None:
    found, _ = asked(block((60.0, 30.0, 10.0)), piece("flat", (65.0, 12.0), 500.0))
    mine = next(choice for choice in found if choice.piece)
    assert mine.blank.axes == (1, 0, 2)
    assert mine.blank.length_mm == pytest.approx(30.0 + 2 * demo_shop().habits.facing_mm)
    assert box_mm(mine.blank) == pytest.approx((65.0, 33.0, 12.0))


@settings(deadline=None, max_examples=60)
@given(size_mm=LENGTHS, bar=floats(5, 300))
def test_in_round_bar_the_corners_stay_inside(size_mm, bar: float) -> None:
    way = in_round(block(size_mm), bar, condition="bright drawn", habits=demo_shop().habits)
    fits = [
        math.hypot(a, b) + 1.0 <= bar
        for a, b in ((size_mm[1], size_mm[2]), (size_mm[0], size_mm[2]), (size_mm[0], size_mm[1]))
    ]
    assume(all(abs(math.hypot(a, b) + 1.0 - bar) > 1e-6 for a, b in ((size_mm[1], size_mm[2]),)))
    assert (way is not None) == any(fits)


@settings(deadline=None, max_examples=60)
@given(size_mm=LENGTHS, flats=floats(5, 300))
def test_in_hexagon_bar_every_corner_lies_between_all_six_flats(size_mm, flats: float) -> None:
    """The six half planes of a hexagon, written out: an outside twin of the formula."""
    way = in_hexagon(block(size_mm), flats, condition="bright drawn", habits=demo_shop().habits)
    if way is None:
        return
    _, width, thickness = way.part_mm
    for n in range(6):
        angle = math.radians(60 * n + 90)
        for x, y in ((width / 2, thickness / 2), (-width / 2, thickness / 2)):
            assert x * math.cos(angle) + y * math.sin(angle) <= flats / 2 - 0.5 + 1e-6


def test_limits_wider_than_the_bar_s_are_needed_for_a_face_to_stay() -> None:
    """h11 on 40 mm is 0/-160 um (ISO 286-1): limits of 0/-100 um do not hold it, 0/-200 um do."""
    habits = demo_shop().habits
    for low, stays in ((39.9, False), (39.8, True)):
        part = replace(
            block((80.0, 40.0, 12.0)),
            features=(replace(_face(), sizes=(size("width_mm", 40.0, (low, 40.0)),)),),
        )
        way = lies(
            part, (40.0, 12.0), condition="bright drawn", habits=habits,
            off_mm=((39.84, 40.0), (11.89, 12.0)),
        )  # fmt: skip
        assert (way is not None and "width" in way.as_stock) == stays


def _face():
    from steadyrest.shop.part import Feature

    return Feature("F1", "boss", (), (0, 0, 1), (0, 0, 0))


def test_drawn_bar_that_is_hollowed_with_its_skin_on_is_said_to_move() -> None:
    hollow = replace(block((80.0, 40.0, 12.0)), volume_mm3=80.0 * 40.0 * 12.0 * 0.6)
    for part, said in ((hollow, True), (block((80.0, 40.0, 12.0)), False)):
        found, _ = asked(part, piece("flat", (40.0, 12.0), 500.0))
        mine = next(choice for choice in found if choice.piece)
        assert any(reason.key == "stock.drawn_moves" for reason in mine.blank.why) == said


def test_a_small_part_is_not_milled_out_of_a_thick_bar() -> None:
    found, refused = asked(block((10.0, 10.0, 10.0)), piece("round", (60.0,), 500.0))
    assert not any(choice.piece for choice in found)
    assert [reason.key for no in refused for reason in no.reasons] == ["stock.block_large"]


@settings(deadline=None, max_examples=30)
@given(size_mm=LENGTHS, shape=sampled_from(["flat", "plate", "square", "round", "hexagon", "tube"]), a=floats(2, 200))
def test_every_piece_is_taken_or_says_why_not(size_mm, shape: str, a: float) -> None:
    sizes = {"flat": (a, a / 2), "plate": (a, a / 3), "tube": (a, a / 8)}.get(shape, (a,))
    found, refused = asked(block(size_mm), piece(shape, sizes, 500.0))
    assert any(choice.piece for choice in found) or any(no.reasons for no in refused)
    for no in refused:
        assert all(say(reason) for reason in no.reasons)


def test_a_block_sawn_to_size_costs_its_weight_and_its_sawing() -> None:
    shop = demo_shop()
    dear = replace(shop, suppliers=tuple(replace(s, cut_each=Decimal(4)) for s in shop.suppliers), pieces=())
    steel = shop.material("C45")
    plain, _ = block_choices(block((100.0, 60.0, 30.0)), material=steel, quantity=10, shop=replace(shop, pieces=()))
    sawn, _ = block_choices(block((100.0, 60.0, 30.0)), material=steel, quantity=10, shop=dear)
    a = min(c.cost.value for c in plain if c.cut_to_size)
    b = min(c.cost.value for c in sawn if c.cut_to_size)
    assert b == pytest.approx(a + 40.0)
    one = next(c for c in sawn if c.cut_to_size)
    assert one.blank.size_mm == (64.0, 35.0)  # 60 + 2 x 2 sawn; 30 + 2 x 1.5 is 33, the next plate is 35
    assert one.blank.length_mm == 104.0
