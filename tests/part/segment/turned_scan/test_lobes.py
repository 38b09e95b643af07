"""Knurls, flutes and other surfaces that are turned only on the whole give no size; worn seats keep theirs.

Scans by tests/part/revolved.py; knurls after DIN 82 (straight, and crossed at 30 degrees to the axis), from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from steadyrest.part.features.find import Found, find
from steadyrest.part.read import with_points
from steadyrest.part.segment.graph import never, quietly, scan_graph
from steadyrest.part.segment.turned_scan.lobes import lobes_of, one_stretch
from steadyrest.part.segment.turned_scan.profile import Band, Rim
from steadyrest.shop.part import Feature
from tests.part.revolved import line, mesh_of

FloatArray = npt.NDArray[np.float64]
Shape = Callable[[FloatArray, FloatArray, FloatArray], FloatArray]
RADIUS, LOW, HIGH = 8.0, 2.0, 16.0
BAR = line((0, 0), (0, RADIUS), (18, RADIUS), (18, 11), (28, 11), (28, 0))


def on_it(along: FloatArray, radius: FloatArray) -> npt.NDArray[np.bool_]:
    return (along > LOW) & (along < HIGH) & (np.abs(radius - RADIUS) < 1)


def knurl(pitch: float, depth: float, *, crossed: bool) -> Shape:
    """Ridges of 90 degrees or so at a pitch round the part; crossed ones leave pyramids."""
    count = round(2 * np.pi * RADIUS / pitch)
    slants = (np.tan(np.radians(30)), -np.tan(np.radians(30))) if crossed else (0.0,)

    def shape(along: FloatArray, radius: FloatArray, angle: FloatArray) -> FloatArray:
        ridges = [np.abs((angle * count / (2 * np.pi) + s * along / pitch) % 1.0 - 0.5) * 2 for s in slants]
        return np.where(on_it(along, radius), -depth * (1 - np.min(ridges, axis=0)), 0.0)

    return shape


def flutes(count: int, depth: float) -> Shape:
    def shape(along: FloatArray, radius: FloatArray, angle: FloatArray) -> FloatArray:
        return np.where(on_it(along, radius), -depth * np.maximum(0, np.cos(count * angle)), 0.0)

    return shape


def worn(depth: float, sides: int) -> Shape:
    """One or two hollows a third round."""

    def shape(along: FloatArray, radius: FloatArray, angle: FloatArray) -> FloatArray:
        turn = np.abs((angle * sides / 2 + np.pi / 2) % np.pi - np.pi / 2) * 2 / sides
        hollow = np.where(turn < 1.0, -depth * np.cos(turn * np.pi / 2), 0.0)
        return np.where(on_it(along, radius) & (along > 5), hollow, 0.0)

    return shape


CASES: dict[str, tuple[Shape | None, float]] = {
    "straight knurl": (knurl(1.2, 0.35, crossed=False), 0.4),
    "crossed knurl": (knurl(1.6, 0.45, crossed=True), 0.5),
    "crossed knurl, too fine for the scan": (knurl(1.0, 0.35, crossed=True), 0.55),
    "six flutes": (flutes(6, 0.5), 0.7),
    "twelve flutes": (flutes(12, 0.4), 0.6),
    "plain": (None, 0.7),
    "worn on one side": (worn(0.3, 1), 0.7),
    "worn on two sides": (worn(0.2, 2), 0.7),
}
PLAIN = ("plain", "worn on one side", "worn on two sides")


@cache
def read(case: str) -> Found:
    shape, step_mm = CASES[case]
    mesh = mesh_of(BAR, step_mm=step_mm, noise_mm=0.03, seed=23, softness_mm=0.15, shape=shape)
    return find(with_points(scan_graph(mesh, progress=quietly, stop=never), mesh))


def there(case: str) -> list[Feature]:
    """The features over the middle of the patterned or worn stretch."""
    middle = (LOW + HIGH) / 2
    features = read(case).features
    return [f for f in features if f.along_mm and f.along_mm[0] < middle < f.along_mm[1] and f.area_mm2 > 100]


@pytest.mark.parametrize("case", [case for case in CASES if case not in PLAIN])
def test_a_patterned_stretch_is_free_with_its_reason_and_gives_no_size(case: str):
    (feature,) = there(case)
    assert feature.kind == "free"
    assert not feature.sizes
    assert feature.wear_mm is None
    assert {reason.key for reason in feature.why} & {"features.lobed", "features.rough"}


@pytest.mark.parametrize(("case", "count"), [("six flutes", 6), ("twelve flutes", 12)])
def test_flutes_are_counted(case: str, count: int):
    (feature,) = there(case)
    (reason,) = [reason for reason in feature.why if reason.key == "features.lobed"]
    assert dict(reason.given)["count"] == count


@pytest.mark.parametrize("case", PLAIN)
def test_a_plain_and_a_worn_seat_keep_their_diameter(case: str):
    (seat,) = [f for f in there(case) if f.kind == "shaft"]
    size = seat.size("diameter_mm")
    assert size is not None
    assert size.estimate == pytest.approx(2 * RADIUS, abs=0.08)
    assert (seat.wear_mm or 0.0) == pytest.approx(0.0 if case == "plain" else 0.25, abs=0.1)


def neck(depth: float, beside_mm: float) -> Rim:
    """A squarish neck 24 across its corners about an axis that runs beside its middle."""
    rng = np.random.default_rng(5)
    angle, along = rng.uniform(-np.pi, np.pi, 1600), rng.uniform(0.0, 16.0, 1600)
    radius = 12 - depth / 2 * (1 - np.cos(4 * angle)) + beside_mm * np.cos(angle) + 0.05 * rng.standard_normal(1600)
    none = np.zeros(1600)
    return Rim(along=along, radius=radius, out=none + 1, up=none, miss=none, angle=angle)


@pytest.mark.parametrize(("depth", "beside_mm", "lobes"), [(1.6, 0.0, 4), (1.6, 0.4, 4), (0.0, 0.4, 0)])
def test_a_squarish_neck_broken_into_short_stretches_is_none_and_a_round_one_beside_the_axis_is(
    depth: float, beside_mm: float, lobes: int
):
    bands = [Band(1, 0.0, 7.6, 12.0, 0.0), Band(1, 7.6, 16.0, 12.02, 0.0), Band(1, 16.0, 20.0, 13.0, 0.0)]
    whole = one_stretch(bands[0], bands, spacing_mm=1.2)
    assert (whole.from_mm, whole.to_mm) == (0.0, 16.0)
    seen = np.ones(1600, dtype=np.bool_)
    assert lobes_of(neck(depth, beside_mm), whole, seen, noise_mm=0.05, spacing_mm=1.2) == lobes
