"""From what: pieces and purchases, and by how much the others miss."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import integers

from steadyrest.shop.floor import Habits, Shop
from steadyrest.shop.part import Part
from steadyrest.stock.blank import need, sides
from steadyrest.stock.choice import Choice, choices, round_kg
from tests.stations.parts import demo_shop, disc, lift_shaft, parts, pin, turned


def found(part: Part, quantity: int = 1, metal: str = "C45", shop: Shop | None = None) -> tuple[Choice, ...]:
    floor = shop or demo_shop()
    return choices(part, material=floor.material(metal), quantity=quantity, shop=floor)[0]


def habits() -> Habits:
    return demo_shop().habits


def test_a_metre_of_fifty_steel_weighs_as_published() -> None:
    # Weight check of the outside values, density 7850: 15.4134 kg a metre (computed).
    steel = replace(demo_shop().material("C45"), density_kg_m3=7850.0)
    assert round_kg(50, 1000, steel) == pytest.approx(15.4134, abs=5e-5)


def test_bright_bar_of_the_collar_s_size_is_taken_unturned() -> None:
    best = found(lift_shaft())[0]
    assert best.piece is not None
    assert best.piece.id == "R1"
    assert best.as_stock
    assert best.blank.length_mm == pytest.approx(260 + 2 * habits().facing_mm)


def test_a_fit_on_the_largest_diameter_is_never_left_as_the_bar_comes() -> None:
    k6 = turned([(30.0, 60.0, None), (44.45, 40.0, (44.452, 44.468)), (30.0, 60.0, None)])
    assert not any(choice.as_stock for choice in found(k6))


def test_hot_rolled_bar_is_never_left_as_it_comes() -> None:
    plain = turned([(40.0, 60.0, None), (60.0, 40.0, None), (40.0, 60.0, None)])
    assert not any(choice.as_stock for choice in found(plain) if choice.condition == "hot rolled")


def test_a_rest_worth_keeping_goes_back_and_only_its_share_is_paid() -> None:
    best = found(lift_shaft())[0]
    assert best.piece is not None
    assert best.kept
    assert best.cost.value < float(best.piece.cost)
    assert best.rest_mm == pytest.approx(best.piece.length_mm - best.blank.length_mm - 1.6)


def test_a_rest_too_short_to_keep_costs_the_whole_piece() -> None:
    shop = demo_shop()
    mean = replace(shop, habits=replace(shop.habits, keep_rest_mm=1000))
    best = next(choice for choice in found(lift_shaft(), shop=mean) if choice.piece)
    assert best.piece is not None
    assert best.cost.value == float(best.piece.cost)


def test_buying_pays_minimum_order_and_freight() -> None:
    bought = [choice for choice in found(pin()) if choice.purchase]
    assert bought
    for choice in bought:
        assert choice.purchase is not None
        supplier = next(s for s in demo_shop().suppliers if s.id == choice.purchase.supplier)
        assert choice.purchase.cost >= supplier.order_minimum + supplier.freight


@settings(deadline=None, max_examples=40)
@given(part=parts(), quantity=integers(1, 40))
def test_blanks_kerfs_and_rest_add_up_to_the_bar(part: Part, quantity: int) -> None:
    for choice in found(part, quantity):
        bars = -(-quantity // choice.per_bar)
        used = quantity * (choice.blank.length_mm + 1.6)
        last = (quantity - (bars - 1) * choice.per_bar) * (choice.blank.length_mm + 1.6)
        assert last + choice.rest_mm == pytest.approx(max(choice.bar_mm, last), abs=1e-6)
        assert bars * choice.bar_mm >= used - 1.6 - 1e-6
        assert choice.bar_mm <= 6000 or choice.piece
        assert choice.cost.value >= 0


@settings(deadline=None, max_examples=40)
@given(part=parts())
def test_every_piece_is_offered_or_refused(part: Part) -> None:
    shop = demo_shop()
    offered, refused = choices(part, material=shop.material("C45"), quantity=1, shop=shop)
    named = {choice.piece.id for choice in offered if choice.piece}
    said = {str(dict(reason.given).get("piece")) for no in refused for reason in no.reasons}
    assert {piece.id for piece in shop.pieces} == named | (said - {"None"})


@settings(deadline=None, max_examples=80)
@given(part=parts())
def test_the_two_sides_together_are_the_whole_part(part: Part) -> None:
    assert part.profile is not None
    both = sides(part.profile, habits())
    ends = sorted((*both.first, *both.second), key=lambda stretch: stretch.from_mm)
    assert tuple(ends) == part.profile.outside
    assert need(part.profile, habits()).length_mm >= part.profile.length_mm


def test_a_short_part_gets_a_longer_blank_to_hold_by() -> None:
    profile = disc().profile
    assert profile is not None
    assert sides(profile, habits()).spare_mm > 0
    shaft = lift_shaft().profile
    assert shaft is not None
    assert sides(shaft, habits()).spare_mm == 0
