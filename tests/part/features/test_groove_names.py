"""What grooves on turned parts are for. The standard grooves' sizes are typed in here from the print, not from code."""

from __future__ import annotations

import math

import pytest

from steadyrest.part.features.find import Found, find
from steadyrest.part.solid.graph import solid_graph
from steadyrest.shop.part import Feature
from tests.part.solid import made


def found(shape: object) -> Found:
    graph = solid_graph(made.step(shape), "part.step", progress=lambda _w, _s: None, stop=lambda: False).graph
    return find(graph)


def groove(part: Found) -> Feature:
    (one,) = [f for f in part.features if f.kind == "groove"]
    return one


def size(feature: Feature, name: str) -> float:
    found_size = feature.size(name)
    assert found_size is not None
    return found_size.estimate


def keys(feature: Feature) -> set[str]:
    return {reason.key for reason in feature.why}


def said(feature: Feature, key: str, name: str) -> object:
    (reason,) = [r for r in feature.why if r.key == key]
    return dict(reason.given)[name]


def pulley(width: float, angle_deg: float, depth: float, *, outside: float = 100.0, middle: float = 20.0):
    """A disc of 40 long with a V groove in its middle, turned down in rings by cones and a cylinder."""
    floor = width - 2 * depth * math.tan(math.radians(angle_deg / 2))
    low, high = middle - width / 2, middle + width / 2
    inner = outside - 2 * depth
    left = made.cone(outside, inner, low, middle - floor / 2)
    right = made.cone(inner, outside, middle + floor / 2, high)
    core = made.fused(left, made.cylinder(inner, middle - floor / 2, middle + floor / 2), right)
    return made.fused(made.cylinder(outside, 0, low), core, made.cylinder(outside, high, 40))


@pytest.mark.parametrize(
    ("section", "width", "angle_deg", "depth", "outside"),
    [  # rim width and angle by section and outside diameter: a belt maker's guide, inches
        ("A", 0.494 * 25.4, 34, 12.0, 100.0),
        ("A", 0.504 * 25.4, 38, 12.0, 150.0),
        ("B", 0.637 * 25.4, 34, 14.5, 160.0),
        ("C", 0.887 * 25.4, 36, 19.5, 260.0),
        ("Z", 8.5 + 4 * math.tan(math.radians(17)), 34, 9.2, 75.0),  # ISO 4183: datum width 8.5, 2 below the rim
    ],
)
def test_a_groove_for_a_v_belt_is_one_groove_with_its_section(section, width, angle_deg, depth, outside) -> None:
    part = found(pulley(width, angle_deg, depth, outside=outside))
    one = groove(part)
    sizes = [size(one, name) for name in ("width_mm", "angle_deg", "depth_mm")]
    assert sizes == pytest.approx([width, angle_deg, depth], abs=1e-6)
    assert said(one, "features.belt_groove", "section") == section
    assert not [f for f in part.features if f.kind == "cone"]


def test_a_belt_groove_of_no_section_says_to_measure_the_belt() -> None:
    assert "features.belt_groove_other" in keys(groove(found(pulley(14.5, 36, 12.0))))


@pytest.mark.parametrize("angle_deg", [25, 60, 90])
def test_a_v_of_another_angle_is_no_belt_groove(angle_deg) -> None:
    part = found(pulley(12.0, angle_deg, 5.0))
    assert not any("belt" in key for f in part.features for key in keys(f))


def grooved(shaft: float, floor: float, width: float):
    return made.fused(
        made.cylinder(shaft, 0, 30), made.cylinder(floor, 30, 30 + width), made.cylinder(shaft, 30 + width, 60)
    )


def test_a_retaining_ring_s_groove_is_said_with_its_shaft() -> None:
    one = groove(found(grooved(30.0, 28.6, 1.6)))  # DIN 471: shaft 30, groove 28.6, width 1.6 H13
    assert said(one, "features.ring_groove", "diameter_mm") == 30.0


def test_an_o_ring_s_groove_is_said_with_its_cord() -> None:
    # 0.103 in cord, static radial: depth 0.081 to 0.083, width 0.140 to 0.145 in
    depth, width = 0.082 * 25.4, 0.1425 * 25.4
    one = groove(found(grooved(30.0, 30.0 - 2 * depth, width)))
    assert said(one, "features.o_ring_groove", "cord_mm") == pytest.approx(0.103 * 25.4, abs=0.05)


def test_a_plain_neck_has_no_purpose() -> None:
    assert not keys(groove(found(grooved(30.0, 22.0, 6.0))))
