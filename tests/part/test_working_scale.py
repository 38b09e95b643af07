"""A file whose numbers are as small as metres or inches give is read as such, and answered in its own numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.part.read import read
from steadyrest.part.triangles.mesh import Mesh, cleaned
from steadyrest.part.working_scale import in_file_numbers, working_mm
from steadyrest.shop.figure import because
from steadyrest.shop.part import Doubt, Feature, Part, Pattern, Size, UnitSaid
from tests.part.revolved import line, spun

FACES = np.array([[0, 1, 2], [0, 2, 3], [0, 3, 1], [1, 3, 2]])


def solid_of(size: float) -> Mesh:
    """A wedge whose largest side is so long."""
    corners = np.array([[0, 0, 0], [size, 0, 0], [0, size / 2, 0], [0, 0, size / 3]])
    return cleaned(corners, FACES, where="x")


@settings(deadline=None)
@given(st.floats(2.0, 5e3))
def test_numbers_as_millimetres_give_are_left_alone(size: float):
    assert working_mm(solid_of(size)) == 1.0


@settings(deadline=None)
@given(st.floats(0.002, 1.999))
def test_smaller_numbers_are_looked_at_as_a_part_of_a_shop_would_be(size: float):
    assert 2.0 <= working_mm(solid_of(size)) * size <= 600.0


@pytest.mark.parametrize(("step", "mm"), [(0.03, 25.4), (0.3, 1.0)])
def test_a_scan_between_two_and_twenty_is_in_inches_where_no_scanner_would_see_so_finely_in_millimetres(step, mm):
    side = 60
    x, y = (a.ravel() * step for a in np.meshgrid(np.arange(side), np.arange(side)))
    wave = np.stack((x, y, 2.5 * x / x.max()), axis=1)
    k = (np.arange(side - 1)[:, None] * side + np.arange(side - 1)[None, :]).ravel()
    faces = np.concatenate((np.stack((k, k + 1, k + side), 1), np.stack((k + 1, k + side + 1, k + side), 1)))
    assert working_mm(cleaned(wave, faces, where="x")) == mm


def test_every_length_comes_back_and_nothing_else():
    feature = Feature(
        "F1", "bore", (Size("diameter_mm", 8.0, 8.1, 0.02), Size("angle_deg", 90.0, 90.1, 0.5)), (0.0, 0.0, 1.0),
        (10.0, 20.0, 30.0), along_mm=(1.0, 2.0), wear_mm=0.1, area_mm2=100.0, seen=0.5,
        why=(because("features.built_up", proud_mm=0.2),),
    )  # fmt: skip
    part = Part(
        "x", "scan", UnitSaid("", "ask", because("read.unit_missing")), (100.0, 50.0, 20.0), 1e5, (feature,), False,
        patterns=(Pattern("P1", "bolt circle", 6, 60.0, ("F1",)),), noise_mm=0.03,
        doubts=(Doubt(because("read.unit_missing"), because("read.ask_one_size")),),
    )  # fmt: skip
    back = in_file_numbers(part, 1000.0)
    hole = back.features[0]
    size = hole.sizes[0]
    assert (size.estimate, size.measured, size.uncertainty) == pytest.approx((0.008, 0.0081, 0.00002))
    assert hole.sizes[1] == feature.sizes[1]
    assert (hole.axis, hole.seen, hole.id) == (feature.axis, feature.seen, feature.id)
    assert hole.at_mm == pytest.approx((0.01, 0.02, 0.03))
    assert hole.along_mm == pytest.approx((0.001, 0.002))
    assert (hole.wear_mm, hole.area_mm2) == pytest.approx((0.0001, 0.0001))
    assert hole.why[0].given == (("proud_mm", pytest.approx(0.0002)),)
    assert back.size_mm == pytest.approx((0.1, 0.05, 0.02))
    assert (back.volume_mm3, back.noise_mm) == pytest.approx((1e-4, 0.00003))
    assert (back.patterns[0].diameter_mm, back.patterns[0].count) == (pytest.approx(0.06), 6)
    assert in_file_numbers(part, 1.0) is part


def test_a_scan_in_metres_without_a_unit_gives_a_thousandth_of_what_it_gives_in_millimetres():
    drawn = line((0, 0), (0, 20), (30, 20), (30, 14), (55, 14), (55, 0))
    points, faces = spun(drawn, step_mm=0.8, noise_mm=0.02, seed=3)
    told = read(stl(points, faces), "x", unit="mm", progress=lambda *_: None, stop=lambda: False)
    asked = read(stl(points / 1000, faces), "x", unit=None, progress=lambda *_: None, stop=lambda: False)
    assert (told.unit.state, asked.unit.state) == ("sure", "ask")
    assert [f.kind for f in asked.features] == [f.kind for f in told.features]
    for here, there in zip(asked.features, told.features, strict=True):
        for mine, other in zip(here.sizes, there.sizes, strict=True):
            assert mine.measured * (1000 if mine.name.endswith("_mm") else 1) == pytest.approx(other.measured, abs=2e-3)
    assert np.array(asked.size_mm) * 1000 == pytest.approx(told.size_mm, abs=2e-3)


def stl(points: np.ndarray, faces: np.ndarray) -> bytes:
    """A binary STL."""
    rows = np.zeros(len(faces), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = points[faces]
    return b"\0" * 80 + np.uint32(len(rows)).tobytes() + rows.tobytes()
