"""Chips by volume: what the printed weights say, by hand."""

from __future__ import annotations

import pytest

from steadyrest.program.findings.chips import chips_litres
from steadyrest.shop.shop_materials import table_materials
from steadyrest.tables.leaving import chip_loosening

METALS = {one.id: one for one in table_materials()}


# Source: chip-weights: solid steel 490 lb/ft3, broken chips 55 to 75, loose turnings 10 to 25; aluminium 169, 20 to 25.
def test_loosening_is_solid_weight_over_the_chips() -> None:
    assert chip_loosening("steel", "broken") == pytest.approx((490 / 75, 490 / 55))
    assert chip_loosening("steel", "long") == pytest.approx((19.6, 49.0))
    assert chip_loosening("aluminium", "broken") == pytest.approx((6.76, 8.45))
    with pytest.raises(KeyError):
        chip_loosening("wood", "broken")


@pytest.mark.parametrize(
    ("metal", "lathe", "broken", "least", "most"),
    [
        ("S235", True, False, 19.6, 49.0),  # it strings
        ("S235", True, True, 490 / 75, 490 / 55),  # somebody saw that it does not, here
        ("S235", False, False, 490 / 75, 490 / 55),  # a mill's chips are short
        ("11SMn30", True, False, 490 / 75, 490 / 55),
        ("6082-T6", False, False, 6.76, 8.45),
        (None, True, False, 19.6, 49.0),
    ],
)
def test_a_litre_of_metal_takes_so_many_litres(metal, lathe: bool, broken: bool, least: float, most: float) -> None:
    found = chips_litres(1e6, METALS[metal] if metal else None, lathe=lathe, broken=broken)
    assert found == pytest.approx((least, most))


def test_iron_and_brass_are_weighed_as_such() -> None:
    iron = next(one for one in METALS.values() if 15 <= one.group <= 20)
    brass = next(one for one in METALS.values() if 21 <= one.group <= 28 and one.density_kg_m3 > 8000)
    assert chips_litres(1e6, iron, lathe=True, broken=False)[1] == pytest.approx(482 / 70)
    assert chips_litres(1e6, brass, lathe=False, broken=False)[1] == pytest.approx(558 / 65)
