"""The outline of a body seen across its thickness, against its area worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from steadyrest.part.read import read
from steadyrest.part.solid.kernel.reading import read_body
from steadyrest.part.triangles.plate_side import plate_side
from steadyrest.shop.part import Part
from steadyrest.stock.sheet_outlines import ring_of
from tests.part.solid.made import box, counterbored_plate, cut, step

THICK_MM = 10.0
# 160 x 90 with a hole of 20, one of 9 counterbored to 15, a window of 30 x 12, and a pocket that goes half through.
OPEN_MM2 = math.pi * 100.0 + math.pi * 4.5**2 + 30.0 * 12.0
SOLID_MM2 = 160.0 * 90.0 - OPEN_MM2


def never() -> bool:
    return False


def quiet(_what: str, _share: float) -> None:
    """Nobody listens."""


@pytest.fixture(scope="module")
def plate() -> tuple[bytes, Part]:
    data = step(counterbored_plate(THICK_MM))
    return data, read(data, "plate.step", unit=None, grid=True, progress=quiet, stop=never)


def area_mm2(part: Part) -> float:
    assert part.plate_side is not None
    shapes = [(Polygon(ring_of(one.edges)).area, one.inside) for one in part.plate_side.flat.outlines]
    return sum(-area if inside else area for area, inside in shapes)


def test_what_goes_through_is_open_and_what_is_sunk_is_not(plate: tuple[bytes, Part]) -> None:
    _, part = plate
    assert part.plate_side is not None
    assert part.plate_side.thickness_mm == pytest.approx(THICK_MM)
    assert sum(one.inside for one in part.plate_side.flat.outlines) == 3
    assert area_mm2(part) == pytest.approx(SOLID_MM2, rel=2e-3)


def test_a_noisy_surface_has_the_outline_of_the_true_one(plate: tuple[bytes, Part]) -> None:
    data, part = plate
    body = read_body(data, body=None, facets=True, progress=quiet, stop=never)
    assert body is not None
    assert body.facets is not None
    corners, faces = body.facets
    generator = np.random.default_rng(3)
    _, first, same = np.unique(np.round(corners, 6), axis=0, return_index=True, return_inverse=True)
    moved = corners[first] + generator.normal(0.0, 0.03, (len(first), 3))
    scan = replace(part, kind="scan", noise_mm=0.03)
    found = plate_side(scan, part.frame, moved, same.reshape(-1)[faces])
    assert found is not None
    assert found.flat.area.value == pytest.approx(SOLID_MM2, rel=4e-3)


def test_a_block_is_no_plate_and_neither_is_what_is_hardly_filled() -> None:
    block = read(step(box((0, 0, 0), (60, 50, 40))), "b.step", unit=None, grid=True, progress=quiet, stop=never)
    assert block.plate_side is None
    tray = cut(box((0, 0, 0), (100, 80, 30)), box((3, 3, 3), (97, 77, 40)))
    read_tray = read(step(tray), "tray.step", unit=None, grid=True, progress=quiet, stop=never)
    assert read_tray.plate_side is None
