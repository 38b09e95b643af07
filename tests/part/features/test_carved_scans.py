"""Seats, grids, ribs, islands and hexagons on noisy meshes of solids made by another library, and what is none.

Truth: the sizes that the solids were made with (carved.py). Five hundredths is the bar for a scan's sizes.
"""

from __future__ import annotations

from functools import cache

import pytest

from steadyrest.part.read import read
from steadyrest.shop.part import Feature, Part
from tests.part.features.carved import Manifold, block, many_sided, round_bar, scanned

GRID = tuple((x, y) for x in (-30.0, -10.0, 10.0) for y in (-14.0, 14.0))
BAR_MM = 0.05


def seated_plate() -> Manifold:
    """Six holes of 9 in a grid, each with a seat of 16 x 1.5."""
    return drilled(drilled(block(90, 56, 12), GRID, 9.0, -1, 14), GRID, 16.0, 10.5, 3)


def ribbed_bracket() -> Manifold:
    """An angle with a rib of 6, two holes of 9 with seats of 20 x 1.8."""
    places = ((-18.0, 8.0), (18.0, 8.0))
    angle = block(64, 50, 10) + block(64, 10, 50, (0, -20, 0)) + block(6, 30, 20, (0, 0, 10))
    return drilled(drilled(angle, places, 9.0, -1, 12), places, 20.0, 8.2, 3)


def tray() -> Manifold:
    """A tray of 72 x 42 x 15 inside with an island of 20 x 14 x 9 and a rib of 4 x 30 x 10."""
    hollow = block(80, 50, 20) - block(72, 42, 16, (0, 0, 5))
    return hollow + block(20, 14, 9, (15, 0, 5)) + block(4, 30, 10, (-18, 0, 5))


def plate_with_island() -> Manifold:
    """A pocket of 40 x 40 x 5 round an island of 16 x 12, and six holes of 6.6 in a grid."""
    places = tuple((x - 24.0, y) for x in (-16.0, 0.0, 16.0) for y in (-12.0, 12.0))
    plate = block(110, 56, 12) - (block(40, 40, 6, (28, 0, 7)) - block(16, 12, 6, (30, 3, 7)))
    return drilled(plate, places, 6.6, -1, 14)


def near_misses() -> Manifold:
    """Seats of 16 deeper than 0.15 of that, one hole of six a millimetre off, a step along an edge, a high plateau."""
    off = (*GRID[:-1], (GRID[-1][0], GRID[-1][1] + 1.0))
    plate = block(90, 56, 12) + block(12, 56, 8, (39, 0, 12))
    return drilled(drilled(plate, off, 9.0, -1, 14), off, 16.0, 8.0, 5)


def drilled(
    solid: Manifold, places: tuple[tuple[float, float], ...], wide: float, foot: float, high: float
) -> Manifold:
    for x, y in places:
        solid -= round_bar(wide, high, (x, y, foot))
    return solid


def headed(sides: int) -> Manifold:
    """A head 24 across with a shank of 16."""
    return many_sided(sides, 24, 12) + round_bar(16, 30, (0, 0, 12))


MADE = {
    "seated plate": seated_plate,
    "ribbed bracket": ribbed_bracket,
    "tray": tray,
    "plate with island": plate_with_island,
    "near misses": near_misses,
    "bolt": lambda: headed(6),
    "eight sides": lambda: headed(8),
    "stub": lambda: many_sided(6, 32, 18) + round_bar(20, 22, (0, 0, 18)) + round_bar(12, 14, (0, 0, 40)),
}


@cache
def part(name: str) -> Part:
    data = scanned(MADE[name](), seed=1)
    return read(data, f"{name}.stl", unit="mm", progress=lambda *_: None, stop=lambda: False)


def called(name: str, reason: str) -> list[Feature]:
    return [f for f in part(name).features if any(why.key == f"features.{reason}" for why in f.why)]


def sizes(features: list[Feature], size: str) -> list[float]:
    return [said.estimate for f in features if (said := f.size(size)) is not None]


@pytest.mark.parametrize(
    ("name", "count", "wide", "deep"), [("seated plate", 6, 16, 1.5), ("ribbed bracket", 2, 20, 1.8)]
)
def test_a_shallow_seat_round_a_hole_is_a_spotface(name: str, count: int, wide: float, deep: float) -> None:
    seats = called(name, "spotface")
    assert sizes(seats, "diameter_mm") == pytest.approx([wide] * count, abs=BAR_MM)
    assert sizes(seats, "depth_mm") == pytest.approx([deep] * count, abs=BAR_MM)


@pytest.mark.parametrize("name", ["seated plate", "plate with island"])
def test_two_rows_of_three_equal_holes_are_a_grid(name: str) -> None:
    assert [(p.kind, p.count) for p in part(name).patterns if p.kind == "grid"][:1] == [("grid", 6)]


@pytest.mark.parametrize(("name", "wide", "high"), [("ribbed bracket", 6, 20), ("tray", 4, 10)])
def test_a_thin_wall_on_a_floor_is_a_rib(name: str, wide: float, high: float) -> None:
    (rib,) = called(name, "rib")
    assert sizes([rib], "width_mm") == pytest.approx([wide], abs=BAR_MM)
    assert sizes([rib], "depth_mm") == pytest.approx([high], abs=BAR_MM)


@pytest.mark.parametrize(("name", "plan", "high"), [("tray", (20, 14), 9), ("plate with island", (16, 12), 5)])
def test_a_plateau_with_a_floor_all_round_is_an_island_of_the_pocket(
    name: str, plan: tuple[float, float], high: float
) -> None:
    (island,) = called(name, "island")
    assert [*sizes([island], "length_mm"), *sizes([island], "width_mm")] == pytest.approx(list(plan), abs=BAR_MM)
    assert sizes([island], "depth_mm") == pytest.approx([high], abs=BAR_MM)


@pytest.mark.parametrize(("name", "box"), [("tray", (72, 42, 15)), ("plate with island", (40, 40, 5))])
def test_a_pocket_is_measured_between_its_own_walls_and_not_by_what_stands_in_it(
    name: str, box: tuple[float, float, float]
) -> None:
    (pocket,) = [f for f in part(name).features if f.kind == "pocket"]
    got = [sizes([pocket], key)[0] for key in ("length_mm", "width_mm", "depth_mm")]
    assert got == pytest.approx(list(box), abs=BAR_MM)


def test_deep_seats_a_hole_out_of_line_and_a_step_are_neither_spotfaces_nor_a_grid_nor_a_rib() -> None:
    assert len(called("near misses", "counterbore")) == 6
    assert not [*called("near misses", "spotface"), *called("near misses", "rib"), *called("near misses", "island")]
    assert "grid" not in {p.kind for p in part("near misses").patterns}


@pytest.mark.parametrize(("name", "across"), [("bolt", 24), ("stub", 32)])
def test_six_flats_evenly_round_are_a_hexagon(name: str, across: float) -> None:
    heads = [f for f in part(name).features if f.kind == "hexagon"]
    assert sizes(heads, "width_mm") == pytest.approx([across], abs=BAR_MM)


def test_eight_flats_are_no_hexagon() -> None:
    assert "hexagon" not in {f.kind for f in part("eight sides").features}
