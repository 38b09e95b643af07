"""Which sheets are opened: the least cost by trying every choice, due first, clamps and rests; judged by shapely."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from steadyrest.stock.nesting.opened import EASY, RestRule, StockSheet, by_cost, first_due_first, on_opened
from steadyrest.stock.nesting.plan import nest
from steadyrest.stock.nesting.sheets import Sheet
from steadyrest.stock.nesting.wanted import NestPart, NestWanted, Placed
from tests.stock.nesting.cases import lies

SQUARE = ((0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0))
CLAMP = ((0.0, 20.0), (30.0, 20.0), (30.0, 45.0), (0.0, 45.0))


def box(wide: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))


def looks(many: int):
    left = iter(range(many, -(10**6), -1))
    return lambda: float(next(left))


WANTED = NestWanted(
    (NestPart("late", 3, SQUARE, due=1), NestPart("soon", 3, SQUARE, due=0)),
    SQUARE, (), 3.0, 4.0, 3.0, (0.0, 90.0), False, clamp_clear_mm=6.0,
)  # fmt: skip
SHEETS = (
    StockSheet("big", Sheet(box(400, 80), (), (CLAMP,)), 2, Decimal(50), "H1"),
    StockSheet("small", Sheet(box(130, 70)), 1, Decimal(9)),
)


@pytest.fixture(scope="module")
def plan():
    return on_opened(WANTED, SHEETS, RestRule(900.0, 20.0, Decimal("0.001")), looks(900), seed=1)


def test_all_parts_lie_clear_of_sheet_hole_clamp_and_each_other(plan):
    assert not plan.unplaced
    for one in plan.sheets:
        shapes = [lies(each, each.part.outline_mm) for each in one.placed]
        edge = Polygon(one.of.sheet.outline_mm)
        for k, shape in enumerate(shapes):
            assert edge.contains(shape)
            assert shape.distance(edge.exterior) >= 4.0 - 0.02
            assert all(shape.distance(Polygon(ring)) >= 6.0 - 0.02 for ring in one.of.sheet.clamps_mm)
            assert all(shape.distance(other) >= 3.0 - 0.02 for other in shapes[:k])


def test_the_cheapest_choice_is_opened_and_its_bound_is_told(plan):
    # By hand: six squares need 392 mm of one strip beside clamp and margins; 355 are there, the small one takes two.
    assert plan.cost == Decimal(50 * any(one.of.id == "big" for one in plan.sheets) + 9 * (len(plan.sheets) - 1))
    assert plan.least <= plan.cost == sum(one.of.cost for one in plan.sheets)


def test_parts_due_first_lie_on_the_sheets_cut_first(plan):
    due = [each.part.due for one in plan.sheets for each in sorted(one.placed, key=lambda each: each.part.due)]
    assert due == sorted(due)


def test_what_is_left_lies_on_the_sheet_clear_of_every_part(plan):
    for one in plan.sheets:
        if not one.left.outline_mm:
            continue
        left = Polygon(one.left.outline_mm, one.left.holes_mm)
        assert left.area == pytest.approx(one.left.area_mm2)
        assert Polygon(one.of.sheet.outline_mm).buffer(1e-6).contains(left)
        assert all(lies(each, each.part.outline_mm).distance(left) >= 3.0 - 0.02 for each in one.placed)
        x0, y0, x1, y1 = left.bounds
        assert one.kept == (left.area >= 900.0 and min(x1 - x0, y1 - y0) >= 20.0)
        assert one.worth == (Decimal(repr(one.left.area_mm2)) * Decimal("0.001") if one.kept else 0)


@settings(max_examples=25)
@given(
    st.lists(st.tuples(st.integers(1, 3), st.integers(0, 9), st.integers(1, 9)), min_size=1, max_size=3),
    st.integers(1, 40),
)
def test_choices_come_by_cost_and_the_cheapest_with_the_area_is_the_first(rows, need):
    sheets = [StockSheet(str(k), Sheet(SQUARE), n, Decimal(cost)) for k, (n, cost, _) in enumerate(rows)]
    there = [float(area) for *_, area in rows]
    found = list(by_cost(sheets, there, float(need)))
    every = [
        choice for choice in product(*(range(n + 1) for n, *_ in rows))
        if sum(n * area for n, area in zip(choice, there, strict=True)) >= need
    ]  # fmt: skip

    def cost(choice: tuple[int, ...]) -> int:
        return sum(n * row[1] for n, row in zip(choice, rows, strict=True))

    assert bool(found) == bool(every)
    assert [cost(one) for one in found] == sorted(cost(one) for one in found)
    if every:
        assert cost(found[0]) == min(map(cost, every))
    # Whatever is not fuller than an easy nest, and would be with a sheet less, is among them.
    area = {one: sum(n * a for n, a in zip(one, there, strict=True)) for one in every}
    assert {one for one in every if area[one] < need / EASY} <= set(found)


def test_equal_parts_change_places_until_the_first_due_are_on_the_first_sheet():
    late, soon = NestPart("late", 1, SQUARE, due=2), NestPart("soon", 1, SQUARE, due=0)
    other = NestPart("other", 1, box(20, 10), due=1)
    before = [[Placed(late, 1, 1, 0, False), Placed(other, 60, 1, 0, False)], [Placed(soon, 9, 9, 90, False)]]
    after = first_due_first(before)
    assert [[one.part.id for one in sheet] for sheet in after] == [["soon", "other"], ["late"]]
    assert [[(one.x_mm, one.y_mm) for one in sheet] for sheet in after] == [[(1, 1), (60, 1)], [(9, 9)]]


def test_where_not_all_fit_those_due_first_do():
    # Three squares of 50 go on: 3 x 50 + 2 x 3 + 2 x 4 = 164 of 170.
    wanted = replace(WANTED, plate_mm=box(170, 60))
    plan = nest(wanted, looks(500), seed=1)
    assert [one.part.id for one in plan.placed] == ["soon"] * 3
    assert [(one.part.id, one.count) for one in plan.unplaced] == [("late", 3)]


def test_a_part_larger_than_every_sheet_is_named():
    wanted = replace(WANTED, parts=(NestPart("door", 1, box(500, 300)), WANTED.parts[1]))
    plan = on_opened(wanted, SHEETS, RestRule(), looks(200), seed=1)
    assert ("door", 1) in [(one.part.id, one.count) for one in plan.unplaced]
    assert "nest.fits_no_sheet" in [reason.key for reason in plan.doubts]
