"""What is different between two readings, in any pose: against changes that were made by hand.

The oracle is how the second part was made: by dataclasses.replace and a turn of every point and axis.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as some

from steadyrest.papers.differences import lines, summary
from steadyrest.part.compared.difference import Difference, difference
from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Part, Size, UnitSaid
from tests.stations import parts

HOLES = {"F1": (20, 20, 8.0), "F2": (80, 20, 8.0), "F3": (80, 40, 8.0), "F4": (35, 45, 10.0)}


def sized(**sizes: float) -> tuple[Size, ...]:
    return tuple(Size(name, value, value, 0.0) for name, value in sizes.items())


def hole(name: str, x: float, y: float, diameter: float) -> Feature:
    return Feature(name, "bore", sized(diameter_mm=diameter, length_mm=20.0), (0.0, 0.0, 1.0), (x, y, 10.0),
                   through=True, inside=True, area_mm2=500.0)  # fmt: skip


def plate(holes: dict[str, tuple[float, float, float]] = HOLES, *, volume: float = 110_000.0) -> Part:
    """A plate of 100 x 60 x 20 with holes and a pocket."""
    faces = [
        Feature("F10", "face", (), (-1.0, 0.0, 0.0), (0.0, 30.0, 10.0), area_mm2=1200.0),
        Feature("F11", "face", (), (1.0, 0.0, 0.0), (100.0, 30.0, 10.0), area_mm2=1200.0),
        Feature("F12", "face", (), (0.0, -1.0, 0.0), (50.0, 0.0, 10.0), area_mm2=2000.0),
        Feature("F13", "face", (), (0.0, 1.0, 0.0), (50.0, 60.0, 10.0), area_mm2=2000.0),
        Feature("F14", "face", (), (0.0, 0.0, 1.0), (50.0, 30.0, 20.0), area_mm2=5500.0),
    ]
    pocket = Feature("F5", "pocket", sized(depth_mm=8.0, width_mm=15.0, length_mm=25.0), (0.0, 0.0, 1.0),
                     (55.0, 20.0, 12.0), inside=True, area_mm2=900.0)  # fmt: skip
    features = (*(hole(name, *place) for name, place in holes.items()), pocket, *faces)
    unit = UnitSaid("mm", "sure", because("read.unit_given", unit="mm"))
    return Part("plate", "solid", unit, (100.0, 60.0, 20.0), volume, features, axisymmetric=False)


def lying(part: Part, turn: np.ndarray, shift: tuple[float, float, float]) -> Part:
    """The part as another file would have it."""

    def put(feature: Feature) -> Feature:
        at, axis = turn @ feature.at_mm + shift, turn @ feature.axis
        return replace(feature, at_mm=tuple(map(float, at)), axis=tuple(map(float, axis)))

    return replace(part, features=tuple(map(put, part.features)))


def rotation(seed: int) -> np.ndarray:
    """A turn, evenly among all."""
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q


def said(found: Difference) -> set[tuple[str, str]]:
    return {(one.kind, (one.after or one.before).id) for one in found.changes}  # pyright: ignore[reportOptionalMemberAccess]


def test_of_the_same_part_nothing_is_different() -> None:
    for part in (plate(), parts.turned([(25, 30, None), (30, 60, None), (20, 40, None)])):
        found = difference(part, part)
        assert found.nothing
        assert not found.turned
        assert summary(found) == "nothing that was read is different"


@settings(max_examples=6)
@given(some.integers(0, 10**6))
@example(0)
def test_the_changes_are_found_however_the_file_lies(seed: int) -> None:
    changed = plate({"F1": (20, 20, 8.5), "F2": (80, 20, 8.0), "F3": (80, 43, 8.0), "F9": (10, 50, 5.0)}, volume=1e5)
    turn = rotation(seed)
    found = difference(plate(), lying(changed, turn, (40.0, -7.0, 3.0)))
    assert said(found) == {("size", "F1"), ("moved", "F3"), ("new", "F9"), ("gone", "F4")}
    moved = found.of("moved")[0].moved
    assert moved == pytest.approx(tuple(turn @ (0.0, 3.0, 0.0)), abs=1e-6)
    assert found.of("size")[0].sizes[0].after == 8.5
    assert found.volume_changed
    assert found.turned


def test_a_mirrored_part_is_not_the_same() -> None:
    mirror = lying(plate(), np.diag((-1.0, 1.0, 1.0)), (100.0, 0.0, 0.0))
    assert difference(plate(), mirror).changes


def test_a_step_that_grew_has_not_moved_and_carries_what_stands_on_it() -> None:
    before = parts.turned([(25, 30, None), (30, 60, None), (20, 40, None)])
    after = parts.turned([(25, 30, None), (30, 70, None), (22, 40, None)])
    found = difference(before, after)
    grown, carried = (next(one for one in found.changes if one.after and one.after.id == name) for name in ("S2", "S3"))
    assert ([one.name for one in grown.sizes], grown.moved) == (["length_mm"], None)
    assert [one.name for one in carried.sizes] == ["diameter_mm"]
    assert carried.moved_mm == pytest.approx(10.0)


def test_what_a_scanner_is_off_is_no_difference_and_a_real_one_is() -> None:
    noisy = replace(lying(plate(), np.eye(3), (0.03, -0.02, 0.01)), kind="scan", noise_mm=0.02)
    assert not difference(plate(), noisy).changes
    wide = replace(plate({**HOLES, "F1": (20, 20, 8.3)}), kind="scan", noise_mm=0.02)
    assert said(difference(plate(), wide)) == {("size", "F1")}


def test_the_words_name_every_change_and_what_moved_together_once() -> None:
    moved = plate({name: (x + 2.0, y, d) if name in ("F2", "F3") else (x, y, d) for name, (x, y, d) in HOLES.items()})
    told = lines(difference(plate(), moved), "mm")
    assert [(one.kind, one.numeral, one.after) for one in told] == [("moved", "2, 3", "by 2 mm along x")]


def test_nothing_left_of_the_older_part_is_all_new() -> None:
    other = replace(plate({}), features=(hole("F7", 5.0, 5.0, 30.0),))
    found = difference(replace(plate(), features=()), other)
    assert said(found) == {("new", "F7")}
