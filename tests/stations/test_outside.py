"""Work sent out: whom, for how much, how long it is away, and every vendor's no."""

from __future__ import annotations

from dataclasses import fields, replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis.strategies import booleans, floats, integers, lists, sampled_from

from steadyrest.shop.finish import finishes
from steadyrest.shop.floor import Vendor
from steadyrest.shop.work import Blank
from steadyrest.stations import outside
from steadyrest.stations.answer import Ask, State
from steadyrest.wording.say import say
from tests.stations.parts import demo_shop, lift_shaft

DAY_S = 86_400.0


def vendor(way: str) -> Vendor:
    return next(vendor for vendor in demo_shop().vendors if way in vendor.does)


def ask(typed: str, *, vendors: tuple[Vendor, ...] | None = None, metal: str = "42CrMo4", quantity: int = 1) -> Ask:
    shop = demo_shop()
    if vendors is not None:
        shop = replace(shop, vendors=vendors)
    blank = Blank("round", (50.0,), 263.0, 4.0, metal, ())
    (finish,) = finishes([typed])
    return Ask(lift_shaft(), (), State(blank, "peeled", 430.0, 6.6), shop.material(metal), quantity, shop, None, finish)


@settings(deadline=None, max_examples=40)
@given(
    days=lists(integers(0, 6), min_size=1, max_size=7, unique=True), lead=integers(0, 12), late=floats(0, 1),
    transit=sampled_from([0.0, 1800.0]),
)  # fmt: skip
def test_work_is_away_for_its_working_days_and_never_much_longer_than_two_weeks_more(
    days: list[int], lead: int, late: float, transit: float
) -> None:
    one = replace(vendor("plated"), days=tuple(sorted(days)), lead_days=lead, delay_odds=late, transit_s=transit)
    median, spread = outside.away_s(one)
    # Fewer working days than calendar days; at most a week until it is taken in, and two days of weekend a week.
    assert max(lead - 1, 0) * DAY_S <= median <= (lead + 1 + 7 + 2 * ((lead + 1) // 5 + 2)) * DAY_S
    assert spread > 0


def test_a_vendor_who_takes_in_daily_is_away_for_the_working_days_and_a_weekend_now_and_then() -> None:
    one = replace(
        vendor("plated"), days=(0, 1, 2, 3, 4), take_in_min=17 * 60, lead_days=1, ready_min=12 * 60, delay_odds=0.0,
        transit_s=0.0,
    )  # fmt: skip
    # Left on Monday to Thursday at any hour of the day it is ready at noon of the next: 19 to 29 hours.
    median, _ = outside.away_s(one)
    assert 19 / 24 * DAY_S <= median <= 30 / 24 * DAY_S


@settings(deadline=None, max_examples=60)
@given(quantity=integers(1, 500))
def test_the_price_is_by_piece_weight_and_surface_but_never_below_the_minimum(quantity: int) -> None:
    one = vendor("plated")
    asked = ask("plated 8 um", quantity=quantity)
    each = one.per_piece + Decimal(repr(outside.surface_dm2(asked))) * one.per_dm2
    expected = max(each * quantity, one.minimum) + one.freight
    assert outside.cost(asked, one) == pytest.approx(expected, abs=Decimal("0.01"))


def test_the_surface_of_a_turned_part_is_its_cylinders_and_both_ends() -> None:
    import math

    steps = [(31.75, 40), (36.5125, 45), (44.45, 30), (38.1, 80), (36.5125, 35), (31.75, 30)]
    by_hand = sum(math.pi * d * length for d, length in steps) + 2 * math.pi / 4 * 44.45**2
    assert outside.surface_dm2(ask("plated 8 um")) == pytest.approx(by_hand / 1e4)


def test_of_two_vendors_the_cheaper_one_does_it() -> None:
    dear, cheap = vendor("plated"), replace(vendor("plated"), id="other", name="other", minimum=Decimal(12))
    answer = outside.answer(ask("plated 8 um", vendors=(dear, cheap)))
    assert answer.steps[0].cash == outside.cost(ask("plated 8 um"), cheap)


def test_strong_steel_is_baked_after_plating() -> None:
    strong = outside.answer(ask("plated 8 um", metal="42CrMo4")).steps[0].cautions
    soft = outside.answer(ask("plated 8 um", metal="S235")).steps[0].cautions
    assert any(reason.key == "caution.hydrogen" for reason in strong)
    assert not any(reason.key == "caution.hydrogen" for reason in soft)


WRONG = {
    "longest_mm": 100.0, "heaviest_kg": 1.0, "thickness_um": (20.0, 30.0), "hardness_hrc": (40.0, 50.0),
    "case_mm": (1.0, 2.0), "metals": ("S235",),
}  # fmt: skip
TYPED = {"thickness_um": "plated 8 um", "hardness_hrc": "hardened 54 HRC", "case_mm": "case hardened 0.5 mm 60 HRC"}


@pytest.mark.parametrize("name", WRONG)
def test_every_limit_of_a_vendor_says_no_with_its_number(name: str) -> None:
    typed = TYPED.get(name, "plated 8 um")
    metal = "16MnCr5" if "case" in typed else "42CrMo4"
    way = finishes([typed])[0].way
    good = vendor(way)
    assert outside.answer(ask(typed, vendors=(good,), metal=metal)).steps
    bad = replace(good, **{name: WRONG[name]})
    answer = outside.answer(ask(typed, vendors=(bad,), metal=metal))
    assert not answer.steps
    assert all(say(reason) for no in answer.undone for reason in no.reasons)
    assert answer.undone[0].nearest is not None


def changed(one: Vendor, name: str, more: bool) -> Vendor:
    """A vendor with one price or day changed."""
    value = getattr(one, name)
    return replace(one, **{name: value + (type(value)(3) if more else type(value)(1))})


@settings(deadline=None, max_examples=60)
@given(
    name=sampled_from(["per_kg", "per_piece", "per_dm2", "minimum", "freight", "lead_days", "transit_s"]),
    more=booleans(),
)
def test_every_price_and_day_of_a_vendor_counts(name: str, more: bool) -> None:
    one = replace(vendor("plated"), minimum=Decimal(0)) if name.startswith("per_") else vendor("plated")
    if name == "minimum":
        one = replace(one, minimum=Decimal(1000))
    before, after = (outside.answer(ask("plated 8 um", vendors=(v,))).steps[0] for v in (one, changed(one, name, more)))
    assert (before.cash, before.phases) != (after.cash, after.phases)


def test_the_rows_above_stand_for_every_field_of_a_vendor() -> None:
    tried = {*WRONG, "per_kg", "per_piece", "per_dm2", "minimum", "freight", "lead_days", "transit_s"}
    elsewhere = {"id", "name", "does", "band", "leave_mm", "repeat_mm"}  # tests/route/test_finishing.py and above
    calendar = {"days", "take_in_min", "ready_min", "delay_odds"}
    assert {field.name for field in fields(Vendor)} == tried | elsewhere | calendar


@pytest.mark.parametrize(
    ("name", "value"), [("days", (4,)), ("take_in_min", 60), ("ready_min", 23 * 60), ("delay_odds", 0.9)]
)
def test_a_vendor_s_calendar_counts(name: str, value: object) -> None:
    one = vendor("plated")
    assert outside.away_s(replace(one, **{name: value})) != outside.away_s(one)


def test_nobody_to_drive_is_a_no_where_they_do_not_fetch() -> None:
    asked = ask("plated 8 um")
    people = tuple(
        replace(person, skills=tuple(skill for skill in person.skills if skill != "deliver"))
        for person in asked.shop.people
    )
    answer = outside.answer(replace(asked, shop=replace(asked.shop, people=people)))
    assert any(reason.key == "outside.nobody_drives" for no in answer.undone for reason in no.reasons)
