"""The shape for the turning picture says what the part is: every law here is tried on points of the body."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from itertools import pairwise
from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadyrest.papers.drawing import ink
from steadyrest.papers.drawing.turning_cuts import holds
from steadyrest.papers.drawing.turning_data import Turning, turning
from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.part import Feature, Flat, Part
from tests.papers.test_part_picture import bush, plate
from tests.part.nominal.parts import keyway, part_of, round_feature, size, worn_shaft


def solid(shape: Turning, point: tuple[float, float, float]) -> bool:
    """Whether there is material at a point of the picture."""
    x, y, z = point
    if shape.rings:
        inside = any(
            r.from_mm <= x <= r.to_mm
            and np.hypot(y, z)
            < r.radius_from_mm + (r.radius_to_mm - r.radius_from_mm) * (x - r.from_mm) / (r.to_mm - r.from_mm)
            for r in shape.rings
        )
    else:
        inside = all(abs(p) < edge / 2 for p, edge in zip(point, shape.box_mm, strict=True))
    return inside and not any(holds(cut, np.array(point)) for cut in shape.cuts)


def volume(shape: Turning, count: int = 40_000) -> float:
    """Of the body, by points spread evenly (a lattice) in its box; a percent or so."""
    half = np.array(shape.box_mm) / 2 if not shape.rings else None
    if half is None:
        widest = max(max(r.radius_from_mm, r.radius_to_mm) for r in shape.rings)
        half = np.array([max(abs(shape.rings[0].from_mm), shape.rings[-1].to_mm), widest, widest])
    steps = np.modf(np.outer(np.arange(count), [0.8191725134, 0.6710436067, 0.5497004779]) + 0.5)[0]
    points = (2 * steps - 1) * half
    return float(np.mean([solid(shape, tuple(p)) for p in points]) * 8 * half.prod())


def shape_of(part: Part) -> Turning:
    found = turning(part)
    assert found is not None
    return found


def cut_into(shaft: Feature, *others: Feature) -> Part:
    """A solid shaft with what is beside its profile."""
    return replace(part_of(shaft, kind="solid"), features=(shaft, *others))


def test_a_bushs_volume_is_that_of_its_rings_less_its_bore() -> None:
    # Closed form: pi/4 (80^2 14 + 50^2 46 - 30^2 60) mm3.
    part = replace(part_of(round_feature("F1", 80.0, 0, 14, u=0.0), round_feature("F2", 50.0, 14, 60, u=0.0),
                           round_feature("F3", 30.0, 0, 60, kind="bore", u=0.0)), kind="solid")  # fmt: skip
    assert volume(shape_of(part)) == pytest.approx(pi / 4 * (80**2 * 14 + 50**2 * 46 - 30**2 * 60), rel=0.01)


def test_a_plates_volume_is_that_of_its_box_less_its_holes() -> None:
    # Closed form: 100 x 60 x 12 less four holes of 9 mm.
    shape = shape_of(plate_with_depths())
    assert volume(shape) == pytest.approx(100 * 60 * 12 - 4 * pi / 4 * 81 * 12, rel=0.01)


def plate_with_depths() -> Part:
    part = plate()
    deep = tuple(
        replace(f, sizes=(*f.sizes, size("length_mm", 12.0, 0.0)), inside=True) if f.kind == "bore" else f
        for f in part.features
    )
    return replace(part, features=deep)


def test_a_keyway_is_as_deep_as_its_key_seat_and_as_long() -> None:
    shaft = part_of(round_feature("F1", 30.0, 0, 100, u=0.0), keyway("F2", 8.0, 4.0, 20, 60, "F1", u=0.0), kind="solid")
    shape = shape_of(shaft)
    # The keyway looks to the eye: z. Its floor lies 11 mm over the axis; it runs from -30 to 10 about the middle.
    for x, y, z, there in ((-10, 0, 11.1, False), (-10, 0, 10.9, True), (-10, 3.9, 12, False), (-10, 4.1, 12, True),
                           (-29.5, 0, 14, False), (-30.5, 0, 14, True), (9.5, 0, 14, False),
                           (10.5, 0, 14, True)):  # fmt: skip
        assert solid(shape, (x, y, z)) is there, (x, y, z)


def test_a_cross_hole_opens_the_surface_and_a_flat_takes_it_off() -> None:
    hole = Feature("F2", "bore", (size("diameter_mm", 6.0, 0.0), size("length_mm", 30.0, 0.0)), (0.0, 0.0, 1.0),
                   (20.0, 0.0, 0.0), along_mm=(17.0, 23.0), through=True, inside=True)  # fmt: skip
    flat = Feature("F3", "flat", (size("width_mm", 24.0, 0.0),), (0.0, 0.0, 1.0), (70.0, 0.0, 0.0),
                   along_mm=(60.0, 80.0), on="F1")  # fmt: skip
    shape = shape_of(cut_into(round_feature("F1", 30.0, 0, 100, u=0.0), hole, flat))
    for z in (-14.99, 0.0, 14.99):
        assert not solid(shape, (-30.0, 0.0, z))
        assert solid(shape, (-30.0, 3.1, z * 0.9))
    for z, there in ((11.9, True), (12.1, False), (-11.9, True), (-12.1, False)):
        assert solid(shape, (20.0, 0.0, z)) is there


def test_a_bolt_circle_stands_round_the_axis() -> None:
    holes = tuple(
        Feature(f"F{k + 2}", "bore", (size("diameter_mm", 9.0, 0.0), size("length_mm", 16.0, 0.0)), (1.0, 0.0, 0.0),
                (8.0, 40 * cos(k * pi / 3), 40 * sin(k * pi / 3)), along_mm=(0.0, 16.0), through=True, inside=True)
        for k in range(6)
    )  # fmt: skip
    shape = shape_of(cut_into(round_feature("F1", 110.0, 0, 16, u=0.0), *holes))
    assert len(shape.marks) == 7
    for cut in shape.cuts:
        assert np.hypot(cut.at_mm[1], cut.at_mm[2]) == pytest.approx(40.0, abs=1e-3)
    assert volume(shape) == pytest.approx(16 * pi / 4 * (110**2 - 6 * 81), rel=0.01)


def test_wear_is_drawn_where_it_is_with_the_flat_pictures_step() -> None:
    part = name_sizes(worn_shaft())
    shape = shape_of(part)
    middle = (part.profile.outside[0].from_mm + part.profile.outside[-1].to_mm) / 2
    for feature in part.features:
        if feature.kind != "shaft" or (feature.wear_mm or 0.0) < 0.015:
            continue
        numeral = feature.id.removeprefix("F")
        bands = [r for r in shape.rings if r.worn and shape.marks[r.mark].numeral == numeral]
        assert {r.worn for r in bands} == {ink.wear_step(feature.wear_mm or 0.0)}
        low, high = feature.wear_along_mm or feature.along_mm
        assert bands[0].from_mm + middle == pytest.approx(low, abs=0.6)
        assert bands[-1].to_mm + middle == pytest.approx(high, abs=0.6)
    assert any(r.worn for r in shape.rings)


def test_the_worn_stretch_of_a_bore_is_worn_too() -> None:
    worn = [cut for cut in shape_of(bush()).cuts if cut.worn]
    assert len(worn) == 1
    assert 2 * worn[0].half_mm == pytest.approx(35.0, abs=0.2)


def test_the_outside_has_no_gaps() -> None:
    rings = shape_of(name_sizes(worn_shaft())).rings
    for a, b in pairwise(rings):
        assert a.to_mm == pytest.approx(b.from_mm, abs=1e-3)


@pytest.mark.parametrize("part", [worn_shaft, bush, plate, plate_with_depths], ids=lambda one: one.__name__)
def test_every_size_in_the_list_is_drawn_or_named_as_not_drawn(part) -> None:
    shape = shape_of(part())
    drawn = [mark.numeral for mark in shape.marks]
    listed = [f.id.removeprefix("F") for f in part().features if f.sizes and f.kind != "face"]
    assert sorted([*drawn, *shape.undrawn]) == sorted(listed)
    assert len(drawn) == len(set(drawn))


def test_the_frame_is_right_handed_so_that_nothing_is_mirrored() -> None:
    from steadyrest.papers.drawing.turning_data import box_frame, turned_frame

    frame, _ = box_frame(plate())
    assert np.linalg.det(frame.directions) == pytest.approx(1.0)
    part = worn_shaft()
    assert np.linalg.det(turned_frame(part, part.profile, 10.0).directions) == pytest.approx(1.0)


def test_a_flat_part_has_no_body_to_turn() -> None:
    nothing = Figure(0.0, "mm2", (because("nominal.metric"),))
    assert turning(replace(plate(), flat=Flat((), nothing, nothing))) is None


def test_a_hole_that_the_drawn_box_would_hide_is_named_instead() -> None:
    part = plate_with_depths()
    deep = replace(part.features[2], id="F9", at_mm=(50.0, 30.0, 6.0), through=False,
                   sizes=(size("diameter_mm", 4.0, 0.0), size("depth_mm", 2.0, 0.0)))  # fmt: skip
    shape = shape_of(replace(part, features=(*part.features, deep)))
    assert "9" in shape.undrawn


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    diameters=st.lists(st.floats(0.5, 400.0), min_size=1, max_size=12),
    lengths=st.lists(st.floats(0.05, 300.0), min_size=12, max_size=12),
    bored=st.booleans(),
)
def test_every_turned_part_has_a_shape_of_plain_finite_numbers(
    diameters: list[float], lengths: list[float], bored: bool
) -> None:
    at, features = 0.0, []
    for k, (diameter, length) in enumerate(zip(diameters, lengths, strict=False), 1):
        features.append(round_feature(f"F{k}", diameter, at, at + length, wear=0.1 * (k % 3)))
        at += length
    if bored:
        features.append(round_feature("F99", 0.4 * min(diameters), 0.0, 0.6 * at, kind="bore", wear=0.2))
    shape = shape_of(part_of(*features))
    json.dumps(asdict(shape), allow_nan=False)
    assert shape.rings[0].from_mm == pytest.approx(-shape.rings[-1].to_mm, abs=1e-6 * at + 1e-3)
    assert all(-1 <= ring.mark < len(shape.marks) for ring in shape.rings)
    assert all(r.to_mm >= r.from_mm for r in shape.rings)
    assert shape == turning(part_of(*features))
