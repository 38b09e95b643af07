"""Laws of a nest, judged by shapely (its overlap, distance and turns; nothing of the search takes part)."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon
from shapely.ops import unary_union

from steadyrest.stock.nesting.plan import nest
from steadyrest.stock.nesting.wanted import NestPart, NestPlan, NestWanted
from tests.stock.nesting.cases import QUARTERS, angle, disc, lies, nests, strip

ALLOWED_MM = 0.02  # the contract's tolerance


class Looks:
    """So many looks at the clock until the time is over: counted, so that no test leans on a real one."""

    def __init__(self, many: int) -> None:
        self.many = many

    def __call__(self) -> float:
        self.many -= 1
        return 10.0 if self.many > 0 else 0.0


def keeps(wanted: NestWanted, plan: NestPlan) -> None:
    """What the contract asks of every nest."""
    plate, holes = Polygon(wanted.plate_mm), [Polygon(ring) for ring in wanted.holes_mm]
    shapes = [lies(one, one.part.outline_mm) for one in plan.placed]
    for shape in shapes:
        assert plate.buffer(ALLOWED_MM).contains(shape)
        assert shape.distance(plate.exterior) >= wanted.margin_mm - ALLOWED_MM
        for hole in holes:
            assert shape.intersection(hole).area < ALLOWED_MM * shape.length
            assert shape.distance(hole) >= wanted.hole_clear_mm - ALLOWED_MM
    for one, other in combinations(shapes, 2):
        assert one.intersection(other).area < ALLOWED_MM * max(one.length, other.length)
        assert one.distance(other) >= wanted.gap_mm - ALLOWED_MM
    for one in plan.placed:
        assert wanted.turns_deg is None or one.turn_deg in wanted.turns_deg
        assert wanted.may_mirror or not one.mirrored
    there = Counter(one.part.id for one in plan.placed)
    left_out = {one.part.id: one.count for one in plan.unplaced}
    assert {part.id: part.count for part in wanted.parts if part.count} == dict(there + Counter(left_out))


@settings(max_examples=12, deadline=None)
@given(nests(), st.integers(0, 3))
def test_nothing_is_too_near_and_nothing_is_lost(wanted, seed):
    keeps(wanted, nest(wanted, Looks(80), seed=seed))


@settings(max_examples=12, deadline=None)
@given(nests(), st.integers(0, 40))
def test_stopped_at_any_moment_it_has_a_nest_that_can_be_cut(wanted, looks):
    keeps(wanted, nest(wanted, Looks(looks), seed=1))


@settings(max_examples=6, deadline=None)
@given(nests(most=2))
def test_the_same_seed_gives_the_same_nest(wanted):
    assert nest(wanted, Looks(60), seed=5) == nest(wanted, Looks(60), seed=5)


def squares(count: int, *, side: float, plate: float, gap: float, margin: float) -> NestWanted:
    return NestWanted(
        parts=(NestPart("S", count, ((0, 0), (side, 0), (side, side), (0, side))),),
        plate_mm=((0, 0), (plate, 0), (plate, plate), (0, plate)),
        holes_mm=(),
        gap_mm=gap,
        margin_mm=margin,
        hole_clear_mm=0.0,
        turns_deg=(0.0,),
        may_mirror=False,
    )


def test_squares_that_just_fit_are_all_placed():
    # Closed form: 2 x 20 + gap 4 + 2 x margin 3 = 50; not a hair is spare.
    plan = nest(squares(4, side=20, plate=50, gap=4, margin=3), Looks(4000))
    assert len(plan.placed) == 4


def test_what_cannot_fit_by_its_area_is_left_out_and_said():
    wanted = squares(5, side=20, plate=50, gap=4, margin=3)
    plan = nest(wanted, Looks(4000))
    keeps(wanted, plan)
    assert len(plan.placed) == 4
    assert [reason.key for reason in plan.doubts] == ["nest.more_area"]


def test_a_part_larger_than_the_plate_is_named():
    wanted = squares(1, side=60, plate=50, gap=0, margin=0)
    plan = nest(wanted, Looks(100))
    assert not plan.placed
    assert [(one.part.id, one.count) for one in plan.unplaced] == [("S", 1)]
    assert dict(plan.doubts[0].given)["part"] == "S"


def test_a_part_goes_into_the_hollow_of_another():
    # A frame open on one side, as wide as the plate: the square fits nowhere but in its hollow.
    frame = ((0, 0), (100, 0), (100, 100), (80, 100), (80, 20), (20, 20), (20, 100), (0, 100))
    square = ((0, 0), (50, 0), (50, 50), (0, 50))
    wanted = NestWanted(
        (NestPart("U", 1, frame), NestPart("S", 1, square)), ((0, 0), (102, 0), (102, 102), (0, 102)), (), 2.0, 1.0,
        0.0, QUARTERS, False,
    )  # fmt: skip
    plan = nest(wanted, Looks(4000))
    keeps(wanted, plan)
    assert len(plan.placed) == 2


def test_a_part_goes_into_the_hole_of_another():
    ring = NestPart("R", 1, ((0, 0), (100, 0), (100, 100), (0, 100)), (((20, 20), (80, 20), (80, 80), (20, 80)),))
    square = NestPart("S", 1, ((0, 0), (50, 0), (50, 50), (0, 50)))
    wanted = NestWanted((ring, square), ((0, 0), (102, 0), (102, 102), (0, 102)), (), 2.0, 1.0, 0.0, (0.0,), False)
    plan = nest(wanted, Looks(4000))
    inner = next(one for one in plan.placed if one.part is square)
    assert 22 - ALLOWED_MM <= inner.x_mm - next(one for one in plan.placed if one.part is ring).x_mm <= 28 + ALLOWED_MM


@pytest.mark.parametrize("turns_deg", [None, (0.0, 45.0)])
def test_a_strip_longer_than_both_sides_lies_across(turns_deg):
    wanted = NestWanted(
        (NestPart("S", 1, strip(125, 10)),),
        ((0, 0), (100, 0), (100, 100), (0, 100)),
        (),
        0.0,
        0.0,
        0.0,
        turns_deg,
        False,
    )
    plan = nest(wanted, Looks(4000))
    keeps(wanted, plan)
    assert len(plan.placed) == 1


def test_mirror_images_are_used_only_where_they_are_allowed():
    # Half a plate with a step: the other half is its mirror image, which no turn gives.
    left = ((0, 0), (49, 0), (49, 60), (30, 60), (30, 100), (0, 100))
    plate = ((0, 0), (100, 0), (100, 100), (70, 100), (70, 60), (30, 60), (30, 100), (0, 100))
    for may, count in ((True, 2), (False, 1)):
        wanted = NestWanted((NestPart("A", 2, left),), plate, (), 2.0, 0.0, 0.0, QUARTERS, may)
        plan = nest(wanted, Looks(400))
        keeps(wanted, plan)
        assert len(plan.placed) == count


def test_what_is_left_in_one_piece_is_free_of_parts():
    wanted = NestWanted(
        (NestPart("L", 3, angle(60, 60)),), ((0, 0), (300, 0), (300, 100), (0, 100)), (), 3.0, 2.0, 0.0, QUARTERS, False
    )
    plan = nest(wanted, Looks(4000))
    assert len(plan.placed) == 3
    assert plan.left is not None
    reach = unary_union([lies(one, one.part.outline_mm) for one in plan.placed]).bounds
    free = 300 - plan.left.beyond_mm if plan.left.upward else plan.left.beyond_mm
    assert plan.left.area_mm2 == pytest.approx(free * 100)
    assert (plan.left.beyond_mm - reach[2] if plan.left.upward else reach[0] - plan.left.beyond_mm) >= 3 - ALLOWED_MM
    # Three angles of 60 lie in 60 + 3 + 60 of the 300 at the most.
    assert plan.left.area_mm2 >= 15_000


def test_more_rounds_of_pushing_together_never_leave_less():
    parts = (NestPart("D", 5, disc(70, 70)), NestPart("A", 4, angle(80, 60)))
    wanted = NestWanted(parts, ((0, 0), (400, 0), (400, 200), (0, 200)), (), 3.0, 2.0, 0.0, QUARTERS, False)
    left = [
        plan.left.area_mm2 if plan.left else 0.0 for plan in (nest(wanted, Looks(9000), rounds=n) for n in (5, 40, 400))
    ]
    assert left[0] <= left[1] <= left[2]
    # They cover 29,400 mm2 of the plate's 80,000: what is left is one piece larger than they are.
    assert left[2] >= 30_000
