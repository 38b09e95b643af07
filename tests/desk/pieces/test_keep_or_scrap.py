"""Keep or scrap by the shop's own book: what was asked often is kept, a stub is not, and rush work finds its piece."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from steadyrest.desk.pieces import piece_in, piece_moves, rack
from steadyrest.desk.pieces.keep_or_scrap import judged, rush
from steadyrest.desk.pieces.piece_in import New
from steadyrest.desk.pieces.piece_moves import Cut
from steadyrest.desk.place import open_place
from tests.web.workshop import NOW

BAR = New("round", ("47",), "3000", "C45", "rack 9", "ines", condition="hot rolled", cost="60.00")


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    opened = open_place(tmp_path_factory.mktemp("keep") / "data", None)
    for label, long, owner in (
        ("K1", "3000", ""), ("stub", "12", ""), ("rest", "45", ""), ("theirs", "45", "the ferry office"),
    ):  # fmt: skip
        new = replace(BAR, label=label, length=long, owner=owner)
        piece_in.come(opened.store, opened.said.shop, new, unit="mm", now=NOW)
    yield opened
    opened.close()


def judge(place, now=NOW):
    found = rack.pieces(place.store, place.said.shop)
    return judged(place.store, place.said.shop, found, now=now)


def test_a_stub_that_serves_nothing_is_kept_once_the_book_says_that_such_are_asked_for(place) -> None:
    new_shop = judge(place)
    assert not new_shop["stub"].worth.keep
    assert "theirs" not in new_shop
    assert new_shop["rest"].asked.own == 0
    assert not new_shop["rest"].worth.keep  # shorter than all that a new shop is taken to be asked for
    for n in range(5):
        cut = Cut("K1", "ines", length="40")
        piece_moves.cut(place.store, place.said.shop, cut, unit="mm", now=NOW + timedelta(days=n))
    after = judge(place, NOW + timedelta(days=30))
    assert after["rest"].asked.own == 5
    assert after["rest"].worth.keep
    assert after["rest"].worth.value > new_shop["rest"].worth.value
    assert not after["stub"].worth.keep
    assert after["rest"].worth.scrap == pytest.approx(new_shop["rest"].worth.scrap)


def test_what_is_asked_most_names_the_least_piece_that_serves_it_first_and_nobody_elses(place) -> None:
    found = rush(place.store, rack.pieces(place.store, place.said.shop))
    most = next(one for one in found if one.says == "round 47")
    assert most.length_mm == 40
    assert most.times >= 5
    own = [label for label in most.serves if label in ("K1", "rest", "stub", "theirs")]
    assert own[0] == "rest"
    assert "stub" not in own
    assert "theirs" not in own


def test_no_piece_is_worth_more_than_the_same_piece_bought_new_nor_less_than_its_scrap(place) -> None:
    shop = place.said.shop
    metals = {metal.id: metal for metal in shop.materials}
    masses = {one.piece.label: one for one in rack.pieces(place.store, shop)}
    for label, one in judge(place).items():
        metal = metals[masses[label].piece.material]
        mass_kg = masses[label].mass_kg
        offers = [
            float(max(float(metal.price_per_kg) * (1 + each.markup_on_kg) * mass_kg, float(each.order_minimum)))
            + float(each.freight)
            for each in shop.suppliers
            if metal.id in each.sells
        ]  # fmt: skip
        assert one.worth.scrap <= one.worth.value <= min(offers) + 0.01
