"""Several sheets: each part lies on one of them, clear of its edge (shapely)."""

from __future__ import annotations

from shapely.geometry import Polygon

from steadyrest.stock.nesting.sheets import Sheet, nest_on_sheets, side_by_side
from steadyrest.stock.nesting.wanted import NestPart, NestWanted
from tests.stock.nesting.cases import QUARTERS, lies

SHEETS = (
    Sheet(((0, 0), (120, 0), (120, 60), (0, 90))),
    Sheet(((10, 10), (110, 10), (110, 80), (10, 80)), (((50, 40), (70, 40), (70, 60), (50, 60)),)),
    Sheet(((0, 0), (60, 0), (60, 60), (0, 60))),
)


def test_one_outline_holds_all_sheets_and_hardly_more():
    ring, holes, shifts = side_by_side(SHEETS, 20.0)
    areas = [Polygon(sheet.outline_mm).area for sheet in SHEETS]
    assert Polygon(ring).is_valid
    assert sum(areas) <= Polygon(ring).area < sum(areas) + 2.0
    assert len(holes) == 1
    assert len(shifts) == 3


def test_each_part_lies_on_one_sheet_clear_of_its_edge():
    # The closed form: a square of 50 with a margin of 4 goes on each sheet once, twice on the first.
    wanted = NestWanted(
        (NestPart("S", 4, ((0, 0), (50, 0), (50, 50), (0, 50))), NestPart("T", 2, ((0, 0), (25, 0), (0, 25)))),
        SHEETS[0].outline_mm, (), 3.0, 4.0, 3.0, QUARTERS, False,
    )  # fmt: skip
    looks = iter(range(400, -(10**6), -1))
    plan = nest_on_sheets(wanted, SHEETS, lambda: float(next(looks)), seed=1)
    many = 0
    for sheet, placed in zip(SHEETS, plan.placed, strict=True):
        for one in placed:
            shape = lies(one, one.part.outline_mm)
            assert Polygon(sheet.outline_mm).contains(shape)
            assert shape.distance(Polygon(sheet.outline_mm).exterior) >= 4.0 - 0.02
            assert all(shape.distance(Polygon(ring)) >= 3.0 - 0.02 for ring in sheet.holes_mm)
            many += 1
    assert many + sum(one.count for one in plan.unplaced) == 6
    assert many >= 4
