"""Edges to break, and boxes to fill: geometry is what drives both."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from steadyrest.shop.work import Blank
from steadyrest.stations import deliver, hand
from steadyrest.stations.answer import Ask, State
from steadyrest.tables.practice import rule
from tests.stations.blocks import bearing_plate, plain_block
from tests.stations.parts import demo_shop


def ask(make=plain_block, *, quantity: int = 1, mass_kg: float = 1.0) -> Ask:
    shop = demo_shop()
    blank = Blank("block", (44.0, 23.0), 63.0, mass_kg, "C45", ())
    return Ask(make(), (), State(blank, "hot rolled", 63.0, mass_kg), shop.material("C45"), quantity, shop, None)


def test_a_plain_block_has_the_twelve_edges_of_its_box() -> None:
    assert hand.edge_length_mm(ask()) == pytest.approx(4 * (60 + 40 + 20))


def test_holes_and_pockets_add_their_rims() -> None:
    """Four holes of 8.5 mm through: two rims each; a pocket of 40 x 26: once round."""
    rims = 4 * 2 * math.pi * 8.5 + 2 * (40 + 26)
    assert hand.edge_length_mm(ask(bearing_plate)) == pytest.approx(4 * (80 + 50 + 20) + rims)


@settings(deadline=None, max_examples=30)
@given(quantity=integers(1, 500), mass_kg=floats(0.01, 30))
def test_packing_is_by_the_part_and_by_the_box(quantity: int, mass_kg: float) -> None:
    one, more = deliver.pack_s(ask(mass_kg=mass_kg)), deliver.pack_s(ask(quantity=quantity, mass_kg=mass_kg))
    assert more.value >= one.value
    boxes = max(math.ceil(mass_kg * quantity / rule("box_kg")), 1)
    each = (more.value - boxes * rule("box_s")) / quantity
    assert each == pytest.approx(rule("pack_part_s") + rule("pack_dm2_s") * 2 * (60 * 40 + 60 * 20 + 40 * 20) / 1e4)


def test_a_heavy_lot_brings_its_caution_and_nobody_to_bring_it_a_no() -> None:
    assert any(r.key == "caution.load" for r in deliver.answer(ask(mass_kg=40.0)).steps[0].cautions)
    asked = ask()
    nobody = tuple(replace(person, skills=("bench",)) for person in asked.shop.people)
    assert not deliver.answer(replace(asked, shop=replace(asked.shop, people=nobody))).steps
