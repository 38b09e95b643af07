"""Grooves for V-belts: the two systems agree where they describe one section."""

from __future__ import annotations

from math import radians, tan

import pytest

from steadyrest.tables.belt_grooves import belt_groove_like, belt_grooves


@pytest.mark.parametrize(("name", "datum_mm", "above_mm"), [("A", 11.0, 2.75), ("B", 14.0, 3.5)])
def test_the_inch_grooves_are_about_those_by_datum_width(name, datum_mm, above_mm) -> None:
    """ISO 4183, from memory: datum width and how far it lies below the rim at least; a rim is wider by that."""
    for groove in belt_grooves():
        if groove.name == name:
            width = datum_mm + 2 * above_mm * tan(radians(groove.angle_deg / 2))
            assert groove.width_mm == pytest.approx(width, abs=0.4)


def test_every_groove_is_its_own_nearest_and_a_wider_one_is_none() -> None:
    for groove in belt_grooves():
        outside = groove.outside_mm[0] + 30.0
        if outside > groove.outside_mm[1]:
            continue
        found = belt_groove_like(groove.width_mm, groove.angle_deg, groove.depth_mm, outside)
        assert found == groove
        assert belt_groove_like(groove.width_mm + 1.5, groove.angle_deg, groove.depth_mm, outside) is None
        assert belt_groove_like(groove.width_mm, groove.angle_deg + 8.0, groove.depth_mm, outside) is None
        assert belt_groove_like(groove.width_mm, groove.angle_deg, 0.5 * groove.depth_mm, outside) is None


def test_angle_and_width_grow_with_the_pulley() -> None:
    for name in {groove.name for groove in belt_grooves()}:
        some = sorted((g for g in belt_grooves() if g.name == name), key=lambda g: g.outside_mm)
        assert [g.angle_deg for g in some] == sorted(g.angle_deg for g in some)
        assert [g.width_mm for g in some] == sorted(g.width_mm for g in some)
