"""Edges to break, and boxes to fill: geometry is what drives both."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from steadyrest.handling.trailer import Laden, Trailer, most_load_kg, stands_mm, towed
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Carriage
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


OWN = Carriage(450.0, 180.0, 30.0, 3000.0, gross_kg=750.0, axle_kg=700.0, tongue_kg=75.0)


def carrying(own: Carriage | None, *, quantity: int, mass_kg: float):
    asked = ask(quantity=quantity, mass_kg=mass_kg)
    return deliver.answer(replace(asked, shop=replace(asked.shop, carriage=own)))


@settings(deadline=None, max_examples=40)
@given(
    empty_kg=floats(100, 800), share=floats(0.0, 0.2), coupling_mm=floats(1500, 5000), gross_kg=floats(900, 3500),
    axle_kg=floats(700, 3500), tongue_kg=floats(50, 200), part=floats(0.01, 1.0),
)  # fmt: skip
def test_a_load_that_may_go_stands_where_nothing_speaks_against_it_and_no_heavier_one_does(
    empty_kg, share, coupling_mm, gross_kg, axle_kg, tongue_kg, part
) -> None:
    trailer = Trailer(empty_kg, share * empty_kg, coupling_mm, gross_kg, axle_kg, tongue_kg)
    most = most_load_kg(trailer)
    if most > 1.0:
        for ahead_mm in stands_mm(trailer, most * part):
            said = towed(trailer, (Laden("load", most * part, ahead_mm),)).cannot
            over = [dict(one.given) for one in said if one.key.startswith("trailer.over")]
            # At either end a limit is met, to the last digit of the sums.
            assert all(one["has_kg"] == pytest.approx(one["allowed_kg"], rel=1e-9) for one in over)
    above = max(most, 1.0) * 1.01
    for k in range(41):
        ahead_mm = (k - 20) / 20 * coupling_mm
        assert towed(trailer, (Laden("load", above, ahead_mm),)).cannot


def test_what_is_more_than_the_van_takes_goes_on_the_trailer_and_says_where_it_stands() -> None:
    """750 kg of plate and 75 on the coupling at 10 to 15 %: 570 of load, its centre 236.8 mm ahead at 75 - 30 kg."""
    (step,) = carrying(OWN, quantity=57, mass_kg=10.0).steps
    assert [note.key for note in step.notes] == ["deliver.trailer"]
    given = dict(step.notes[0].given)
    assert given["high_mm"] == pytest.approx((75 - 30) * 3000 / 570)
    assert {"trailer.caution_tie", "trailer.caution_plate"} <= {one.key for one in step.cautions}
    assert step.phases[-1].duration_s.value == demo_shop().habits.deliver_s


def test_more_than_both_take_goes_in_several_trips_of_whole_pieces() -> None:
    (step,) = carrying(replace(OWN, coupling_mm=0.0), quantity=5, mass_kg=200.0).steps  # two on each of three trips
    assert step.phases[-1].duration_s.value == 3 * demo_shop().habits.deliver_s
    assert not step.notes


def test_a_piece_too_heavy_for_both_is_refused_with_the_figure_and_a_carrier() -> None:
    answer = carrying(OWN, quantity=1, mass_kg=600.0)
    assert not answer.steps
    (no,) = answer.undone
    assert no.nearest == because("deliver.fetched")
    assert dict(no.reasons[0].given)["allowed_kg"] == pytest.approx(570.0)


def test_without_a_word_on_what_it_is_brought_with_every_load_is_one_trip() -> None:
    (step,) = carrying(None, quantity=1, mass_kg=5000.0).steps
    assert step.phases[-1].duration_s.value == demo_shop().habits.deliver_s


def test_a_load_of_unlike_things_is_parted_but_for_its_heaviest() -> None:
    van = replace(demo_shop(), carriage=Carriage(450.0))
    by = deliver.carried(1000.0, van, heaviest_kg=400.0)
    assert isinstance(by, deliver.Carried)
    assert by.trips == 3
    no = deliver.carried(1000.0, van, heaviest_kg=451.0)
    assert no == because("deliver.too_heavy", has_kg=451.0, allowed_kg=450.0)
