"""Limits follow function where it is known; else the general tolerance."""

from __future__ import annotations

import pytest

from steadyrest.part.nominal.name import name_sizes
from steadyrest.shop.part import Limits, Part
from tests.part.nominal.parts import part_of, round_feature, worn_shaft


def limits(part: Part, feature: str, name: str = "diameter_mm") -> Limits:
    size = part.feature(feature).size(name)
    assert size is not None
    assert size.nominal is not None
    assert size.nominal.limits is not None
    return size.nominal.limits


@pytest.mark.parametrize(
    ("feature", "name", "key"),
    [
        ("F4", "diameter_mm", "limits.bearing_seat"),
        ("F7", "diameter_mm", "limits.bearing_seat"),
        ("F2", "diameter_mm", "limits.keyed_shaft"),
        ("F3", "width_mm", "limits.keyway_shaft"),
        ("F3", "depth_mm", "limits.keyway_depth"),
        ("F9", "diameter_mm", "limits.ring_groove_shaft"),
        ("F9", "width_mm", "limits.ring_groove_shaft"),
        ("F6", "diameter_mm", "limits.general"),
        ("F6", "length_mm", "limits.general"),
    ],
)
def test_each_size_is_limited_by_what_it_is_for(feature: str, name: str, key: str) -> None:
    found = limits(name_sizes(worn_shaft()), feature, name)
    assert found.why[0].key == key
    assert found.why[0].source
    assert found.low_mm < found.high_mm


def test_a_scan_that_cannot_see_the_limits_says_that_the_micrometer_decides() -> None:
    scanned = limits(name_sizes(worn_shaft()), "F4")
    assert [scanned.why[k].key for k in (0, -1)] == ["limits.bearing_seat", "limits.micrometer_decides"]


def test_a_bar_left_as_bought_is_named_as_stock() -> None:
    named = name_sizes(part_of(round_feature("F1", 39.96, 0, 60), round_feature("F2", 30.01, 60, 90)))
    assert named.stock_size is not None
    assert "40 mm" in named.stock_size


def test_a_worn_or_odd_diameter_is_no_stock_size() -> None:
    worn = part_of(round_feature("F1", 39.96, 0, 60, wear=0.2), round_feature("F2", 30.01, 60, 90))
    odd = part_of(round_feature("F1", 41.37, 0, 60), round_feature("F2", 30.01, 60, 90))
    over = part_of(round_feature("F1", 40.15, 0, 60, u=0.01), round_feature("F2", 30.01, 60, 90))
    assert [name_sizes(part).stock_size for part in (worn, odd, over)] == [None, None, None]
