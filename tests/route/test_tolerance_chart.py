"""The tolerance chart of whole routes: what counts in which size, and what would help."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, integers

from steadyrest.measure.plan import measuring_plan
from steadyrest.route.best import best_routes
from steadyrest.route.tolerance_chart import Asked, chart
from steadyrest.route.tolerance_stack import SD_IN_REACH
from steadyrest.shop.chart import Charted
from steadyrest.shop.draws import Luck
from steadyrest.shop.finish import finishes
from steadyrest.shop.floor import LatheLimits, Shop
from steadyrest.shop.part import Part
from steadyrest.wording.charted import charted as in_words
from steadyrest.wording.say import Reader, say
from tests.stations.blocks import bearing_plate, plain_block
from tests.stations.parts import demo_shop, lift_shaft, turned

LUCK = Luck(2000, 3)


def charted(
    part: Part, *, shop: Shop | None = None, quantity: int = 1, typed: tuple[str, ...] = (), metal: str = "42CrMo4"
) -> dict[tuple[str, str], Charted]:
    floor = shop or demo_shop()
    steel, asked = floor.material(metal), finishes(typed)
    route = best_routes(part, material=steel, quantity=quantity, shop=floor, keep=1, finishes=asked)[0]
    measures = measuring_plan(part, floor, steel)
    found = chart(Asked(part, route, steel, quantity, floor, measures, asked, LUCK))
    return {(one.feature, one.size): one for one in found}


def with_repeat(repeat_mm: float) -> Shop:
    shop = demo_shop()
    lathe = shop.machine("lathe")
    assert isinstance(lathe.limits, LatheLimits)
    better = replace(lathe, limits=replace(lathe.limits, repeat_mm=repeat_mm))
    return replace(shop, machines=tuple(better if m.id == "lathe" else m for m in shop.machines))


def shaft(width: float) -> Part:
    return turned([(30.0, 60.0, (30.0 - width, 30.0)), (40.0, 60.0, None)])


def test_every_size_with_limits_of_its_own_is_charted_with_its_chance() -> None:
    found = charted(lift_shaft())
    assert {("S2", "diameter_mm"), ("S5", "diameter_mm"), ("K1", "width_mm")} <= set(found)
    for one in found.values():
        assert 0.0 <= one.odds.value <= 1.0
        assert one.odds.why
        assert one.rss_mm <= one.worst_mm + 1e-9
        assert in_words(one, Reader())
        assert all(say(reason) for reason in (*one.odds.why, *one.advice))


def test_the_least_likely_size_stands_first() -> None:
    floor = demo_shop()
    part, steel = lift_shaft(), floor.material("C45")
    route = best_routes(part, material=steel, quantity=1, shop=floor, keep=1)[0]
    odds = [one.odds.value for one in chart(Asked(part, route, steel, 1, floor, (), (), LUCK))]
    assert odds == sorted(odds)


@settings(deadline=None, max_examples=8)
@given(width=floats(0.02, 0.2))
def test_wider_limits_are_never_less_likely_held(width: float) -> None:
    narrow, wide = (charted(shaft(w), metal="C45").get(("S1", "diameter_mm")) for w in (width, width * 1.5))
    if narrow is not None and wide is not None and not narrow.advice:
        assert wide.odds.value >= narrow.odds.value - 0.02


def test_a_machine_that_repeats_better_holds_more() -> None:
    coarse = charted(shaft(0.031), shop=with_repeat(0.02), metal="C45")[("S1", "diameter_mm")]
    fine = charted(shaft(0.031), shop=with_repeat(0.01), metal="C45")[("S1", "diameter_mm")]
    assert fine.odds.value > coarse.odds.value


def test_with_nothing_but_the_machine_s_repeat_the_chance_is_the_normal_law_s() -> None:
    """Closed form: P(|x| <= w / 2), x normal; all other sources taken away through the chart's own terms."""
    one = charted(shaft(0.02), shop=with_repeat(0.012), metal="C45")[("S1", "diameter_mm")]
    machine = [term for term in one.terms if term.source == "machine"]
    assert len(machine) == 1
    assert machine[0].reach_mm == pytest.approx(0.006)
    sd = 0.006 / SD_IN_REACH
    alone = math.erf(0.01 / sd / math.sqrt(2.0))
    assert one.odds.value <= alone + 0.01


def test_wear_counts_more_in_a_large_lot_unless_every_part_is_measured() -> None:
    part = shaft(0.05)
    few = next(
        t for t in charted(part, quantity=1, metal="C45")[("S1", "diameter_mm")].terms if t.source == "tool wear"
    )
    many = next(
        t for t in charted(part, quantity=200, metal="C45")[("S1", "diameter_mm")].terms if t.source == "tool wear"
    )
    assert many.reach_mm > few.reach_mm
    held = charted(lift_shaft(), quantity=1, metal="C45")[("S2", "diameter_mm")]
    assert not any(term.source == "tool wear" for term in held.terms)


def test_a_length_between_two_clampings_has_the_shift_of_its_datum() -> None:
    found = charted(lift_shaft())
    across = [one for one in found.values() if one.size == "length_mm"]
    assert across
    assert all(any(term.source == "datum" for term in one.terms) for one in across)
    assert all(len(set(one.steps)) == 2 for one in across)


def test_a_block_s_height_is_charted_where_its_two_faces_are_cut_in_two_set_ups() -> None:
    for part in (plain_block(), bearing_plate()):
        found = charted(part, metal="C45")
        (one,) = [one for (_, size), one in found.items() if size == "length_mm"]
        assert one.odds.value > 0.9
        assert {term.source for term in one.terms} >= {"datum", "machine", "temperature"}


def test_a_size_that_an_edge_wears_out_of_wants_to_be_measured_part_by_part() -> None:
    one = charted(shaft(0.034), quantity=300, metal="C45")[("S1", "diameter_mm")]
    assert one.odds.value < 0.95
    assert one.advice[0].key == "chart.measure"
    assert float(dict(one.advice[0].given)["better_odds"]) > one.odds.value  # type: ignore[arg-type]


def test_a_hardened_seat_wants_to_be_ground_and_ground_it_is_held() -> None:
    """1 in 1000 of 36.5 mm is 37 um either way: far more than the 16 um of its limits."""
    hard = charted(lift_shaft(), typed=("hardened 54 HRC",))[("S2", "diameter_mm")]
    assert hard.odds.value < 0.5
    assert hard.advice[0].key == "chart.grind"
    ground = charted(lift_shaft(), typed=("hardened 54 HRC", "ground S2"))[("S2", "diameter_mm")]
    assert ground.odds.value > 0.95
    assert not ground.advice
    assert any(term.step == "ground" for term in ground.terms)


def test_plating_adds_its_scatter_and_hardening_its_movement() -> None:
    plain = charted(lift_shaft())[("K1", "width_mm")]
    treated = charted(lift_shaft(), typed=("plated 8 um", "hardened 54 HRC"))[("K1", "width_mm")]
    added = [term for term in treated.terms if term.source == "treatment"]
    # 8 um with a quarter either way, twice: 4 um; 1 in 1000 of 9.5 mm: 9.5 um.
    assert sorted(term.reach_mm for term in added) == pytest.approx([0.004, 0.0095], abs=0.0001)
    assert treated.odds.value <= plain.odds.value


@settings(deadline=None, max_examples=4)
@given(seed=integers(0, 1000))
def test_the_same_seed_gives_the_same_chart(seed: int) -> None:
    floor = demo_shop()
    part, steel = lift_shaft(), floor.material("C45")
    route = best_routes(part, material=steel, quantity=1, shop=floor, keep=1)[0]
    asked = Asked(part, route, steel, 1, floor, measuring_plan(part, floor, steel), (), Luck(200, seed))
    assert chart(asked) == chart(asked)
