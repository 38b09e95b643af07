"""Places from faces and an axis that a machinist can set a part by."""

from __future__ import annotations

import math

import pytest

from steadyrest.part.datums import places
from steadyrest.part.read import read
from steadyrest.shop.part import Feature, Part
from tests.part.solid import made


def back(shape: object) -> Part:
    return read(made.step(shape), "part.step", unit=None, progress=lambda _w, _s: None, stop=lambda: False)


def plate(**moved: object) -> Part:
    holes = (made.cylinder(8, -1, 21, at=(15, 12)), made.cylinder(6, 8, 21, at=(80, 30)))
    return back(made.moved(made.cut(made.box((0, 0, 0), (100, 50, 20)), *holes), **moved))


def placed(part: Part, feature: Feature) -> dict[str, float]:
    return {place.datum: place.mm for place in places(part.datums, feature)}


def bore(part: Part, diameter_mm: float) -> Feature:
    return next(f for f in part.features if f.kind == "bore" and abs(f.sizes[0].estimate - diameter_mm) < 1e-6)


@pytest.mark.parametrize("moved", [{}, {"turn_deg": 33.0, "about": (1, 2, 3), "by": (400, -70, 9)}])
def test_a_hole_is_placed_from_the_two_edges_wherever_the_file_put_the_part(moved: dict[str, object]) -> None:
    part = plate(**moved)
    assert [datum.name for datum in part.datums] == ["A", "B", "C"]
    # From which of two equal sides is not said by the part; both holes must be placed from the same ones.
    one, other = placed(part, bore(part, 8.0)), placed(part, bore(part, 6.0))
    assert set(one) == set(other) == {"B", "C"}
    assert (one["B"], other["B"]) in near((12, 30), (38, 20))
    assert (one["C"], other["C"]) in near((15, 80), (85, 20))


class near:  # noqa: N801  reads as a word
    """Pairs of numbers, each within a micrometre."""

    def __init__(self, *pairs: tuple[float, float]) -> None:
        self.pairs = pairs

    def __contains__(self, found: tuple[float, float]) -> bool:
        return any(math.dist(found, pair) < 1e-3 for pair in self.pairs)


def test_the_three_datums_are_square_to_each_other_and_nothing_stands_out_over_them() -> None:
    part = plate()
    for a in part.datums:
        assert all(
            abs(sum(x * y for x, y in zip(a.axis, b.axis, strict=True))) < 1e-9 for b in part.datums if b is not a
        )
        off = sum(x * y for x, y in zip(a.axis, a.at_mm, strict=True))
        corners = [(x, y, z) for x in (0, 100) for y in (0, 50) for z in (0, 20)]
        assert max(sum(x * y for x, y in zip(a.axis, c, strict=True)) for c in corners) == pytest.approx(off)


def test_the_floor_of_a_large_pocket_is_no_datum() -> None:
    part = back(made.cut(made.box((0, 0, 0), (100, 80, 40)), made.box((2, 2, 30), (98, 78, 41))))
    assert part.datums[0].at_mm[2] == pytest.approx(0.0)


def test_a_turned_part_is_placed_from_its_axis_and_its_larger_end() -> None:
    shape = made.fused(made.cylinder(20, 0, 40), made.cylinder(60, 40, 50))
    part = back(made.cut(shape, made.cylinder(6, 39, 51, at=(22, 0))))
    assert [(d.name, d.kind) for d in part.datums] == [("A", "axis"), ("B", "face")]
    hole = placed(part, bore(part, 6.0))
    assert hole == {"A": pytest.approx(22), "B": pytest.approx(5)}


def test_several_solids_in_one_file_have_no_datums() -> None:
    two = made.compound(made.box((0, 0, 0), (10, 20, 30)), made.box((50, 0, 0), (60, 20, 30)))
    assert back(two).datums == ()
