"""What a table carries: statics by hand, limits that bind exactly where they say."""

from __future__ import annotations

import pytest

from steadyrest.handling.tables import OnTable, TableLimits, on_table

LOADS = (OnTable("part", 24.0, 50.0), OnTable("vice", 36.0), OnTable("chuck", 10.0, 20.0))
MOMENT = 24 * 9.80665 * 0.05 + 10 * 9.80665 * 0.02


def test_masses_and_moments_add_up_by_hand():
    found = on_table(LOADS, TableLimits())
    assert (found.mass.value, found.moment.value) == (70.0, pytest.approx(MOMENT))
    assert not found.cannot
    assert found.cautions


def test_a_limit_binds_from_just_above_it():
    assert not on_table(LOADS, TableLimits(70.0, MOMENT)).cannot
    over = on_table(LOADS, TableLimits(69.99, MOMENT - 1e-6)).cannot
    assert [reason.key for reason in over] == ["table.over_mass", "table.over_moment"]


def test_brought_as_near_to_the_axis_as_it_says_the_moment_is_allowed():
    [over] = on_table(LOADS, TableLimits(moment_nm=5.0)).cannot
    nearest = float(dict(over.given)["nearest_mm"])
    assert not on_table([OnTable("all", 70.0, nearest - 1e-9)], TableLimits(moment_nm=5.0)).cannot


@pytest.mark.parametrize("loads", [(), (OnTable("air", 0.0),), (OnTable("part", 1.0, -1.0),)])
def test_what_cannot_stand_there_is_our_own_mistake(loads):
    with pytest.raises(ValueError, match="on_table"):
        on_table(loads, TableLimits())
