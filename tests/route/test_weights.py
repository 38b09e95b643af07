"""What has to be lifted."""

from __future__ import annotations

import math

import pytest

from steadyrest.route.weights import finished_kg, weights
from steadyrest.stock.choice import choices
from tests.stations.parts import bush, demo_shop, lift_shaft


def test_a_finished_part_weighs_what_its_cylinders_weigh() -> None:
    steel = demo_shop().material("C45")
    steps = [(31.75, 40), (36.5125, 45), (44.45, 30), (38.1, 80), (36.5125, 35), (31.75, 30)]
    by_hand = sum(math.pi / 4 * d**2 * length for d, length in steps) * 1e-9 * steel.density_kg_m3
    assert finished_kg(lift_shaft(), steel) == pytest.approx(by_hand)
    ring = math.pi / 4 * (40**2 - 25**2) * 50 * 1e-9 * steel.density_kg_m3
    assert finished_kg(bush(), steel) == pytest.approx(ring)


def test_the_bar_is_the_heaviest_and_the_part_the_lightest() -> None:
    shop = demo_shop()
    steel = shop.material("C45")
    choice = choices(lift_shaft(), material=steel, quantity=1, shop=shop)[0][0]
    bar, blank, part = weights(lift_shaft(), choice, material=steel, quantity=1, shop=shop)
    assert bar.value > blank.value > part.value
    assert [figure.why[0].key for figure in (bar, blank, part)] == ["weight.bar", "weight.blank", "weight.part"]
