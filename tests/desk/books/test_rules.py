"""Rules of thumb, looked up by words, machine and metal, and named where they decide."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis.strategies import text

import steadyrest
from steadyrest.cli.rules_words import ADVICE
from steadyrest.desk.books.rules import find_rules, rules_of
from steadyrest.route.best import best_routes
from steadyrest.tables.practice import deciding, rules
from steadyrest.trouble import BadInput
from steadyrest.wording.say import words
from tests.stations.parts import demo_shop, lift_shaft, pin

SHOP = demo_shop()


def test_every_rule_is_found_by_its_own_words_on_each_of_its_machines() -> None:
    for name, one in rules().items():
        for machine in one.machines or ("",):
            assert name in {rule.name for rule in find_rules(one.note, machine=machine, shop=SHOP)}


@settings(deadline=None)
@given(text(max_size=30))
def test_more_words_never_find_more(words: str) -> None:
    few, more = find_rules(words, shop=SHOP), find_rules(f"{words} feed", shop=SHOP)
    assert {rule.name for rule in more} <= {rule.name for rule in few}


def test_a_machine_of_the_shop_and_its_kind_find_the_same() -> None:
    assert find_rules(machine="lathe", shop=SHOP) == find_rules("", machine=SHOP.machine("lathe").kind, shop=SHOP)
    for one in find_rules(machine="saw", shop=SHOP):
        assert not one.machines or "saw" in one.machines


def test_a_metal_brings_its_own_printed_speeds_with_their_standing() -> None:
    found = {rule.name: rule for rule in find_rules(metal="C45", shop=SHOP)}
    assert {"turning_speed_carbide", "turning_feed_rough", "saw_area_rate"} <= set(found)
    assert (
        found["turning_speed_carbide"].value
        != {rule.name: rule for rule in find_rules(metal="1.4301", shop=SHOP)}["turning_speed_carbide"].value
    )
    assert all(rule.standing for rule in found.values())


@pytest.mark.parametrize("asked", [{"machine": "lade"}, {"metal": "unobtainium"}])
def test_what_is_not_there_is_one_line_with_what_to_do(asked: dict[str, str]) -> None:
    with pytest.raises(BadInput) as wrong:
        find_rules(shop=SHOP, **asked)
    assert wrong.value.do


def test_a_reason_that_a_rule_decides_is_a_reason_that_can_be_said() -> None:
    said = set(words())
    assert {key for one in rules().values() for key in one.decides} <= said


def test_each_rule_says_what_it_decides_or_where_it_counts_or_that_it_is_advice_only() -> None:
    assert all(bool(one.decides) != bool(one.works) for one in rules().values())
    package = Path(steadyrest.__file__).parent
    code = "\n".join(one.read_text(encoding="utf-8") for one in package.rglob("*.py"))
    idle = {name for name in rules() if f'"{name}"' not in code and not name.startswith("join_")}
    assert {name for name, one in rules().items() if one.works == ADVICE} == idle


def test_a_plan_names_the_rules_that_decided_in_it() -> None:
    for make in (lift_shaft, pin):
        best = best_routes(make(), material=SHOP.material("C45"), quantity=1, shop=SHOP)[0]
        named = {one.name for step in best.steps for one in rules_of(step)}
        assert {"stick_out_ratio", "hold_point_ratio"} & named
        assert named <= set(rules())


def test_a_reason_that_no_rule_decides_names_none() -> None:
    assert deciding(["route.first"]) == ()


def test_every_rule_stands_under_a_machine_or_a_subject_and_its_metals_are_said_in_words() -> None:
    found = find_rules(shop=SHOP)
    assert all(one.about for one in found)
    assert sum(bool(one.metals) for one in found) >= 55
    steel = {one.name for one in find_rules("stainless", shop=SHOP)}
    assert "knurl_m_min" in steel
