"""A plan with work sent out: one line for a treatment that is at fault, the whole answer else, and kept as it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cache

import pytest

from steadyrest.cli.plan_answers import plan_answer
from steadyrest.cli.words import plan_words
from steadyrest.desk.incoming.taking_in import treatments
from steadyrest.desk.plan import plan_part
from steadyrest.desk.plan.taken_for_time import told_why
from steadyrest.desk.which_shop import which_shop
from steadyrest.shop.figure import because
from steadyrest.shop.finish import finishes
from steadyrest.shop.work import Purchase, Undone
from steadyrest.store.values import from_json, to_json
from steadyrest.trouble import BadInput
from steadyrest.web.showing.few_words import in_the_form
from tests.stations.blocks import bearing_plate
from tests.stations.parts import lift_shaft

NOW = datetime.fromisoformat("2026-11-27T12:10:00+01:00")


@pytest.fixture(autouse=True)
def few_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plan_part, "DRAWS", 60)


@cache
def bearing_planned() -> plan_part.PlanAnswer:
    return planned(part=bearing_plate())


def planned(*typed: str, part=None, quantity: int = 1) -> plan_part.PlanAnswer:
    said = which_shop(None, None)
    return plan_part.plan(
        part or lift_shaft(), said=said, metal=said.shop.material("42CrMo4"), quantity=quantity,
        due=NOW + timedelta(days=45), now=NOW, seed=1, what="a shaft", asked=finishes(typed),
        progress=lambda _what, _share: None, stop=lambda: False,
    )  # fmt: skip


def test_a_treatment_of_a_feature_that_is_not_there_is_one_clear_line() -> None:
    with pytest.raises(BadInput, match="no feature S99"):
        planned("ground S99")


def test_work_sent_out_costs_money_and_days_and_stands_in_the_answer() -> None:
    plain, sent = planned(), planned("hardened 54 HRC", "ground S2 S5")
    assert plain.best is not None
    assert sent.best is not None
    assert plain.best.promise is not None
    assert sent.best.promise is not None
    assert plain.best.price is not None
    assert sent.best.price is not None
    late = sent.best.promise.finish_p50
    early = plain.best.promise.finish_p50
    assert late is not None
    assert early is not None
    assert late - early > timedelta(days=6)
    assert sent.best.price.walk_away.amount > plain.best.price.walk_away.amount
    answer = plan_answer(sent)
    assert isinstance(answer, dict)
    assert answer["finishes"] == ["hardened 54 HRC", "ground S2, S5"]
    words = plan_words(sent)
    assert "before plating" not in words
    assert "left for the wheel" in words
    assert "Will it hold the sizes?" in words


def test_a_plan_with_its_chart_and_treatments_reads_back_as_it_was_written() -> None:
    for answer in (planned("plated 8 um"), bearing_planned()):
        again = from_json(to_json(answer), plan_part.PlanAnswer, where="here")
        assert again == answer


def test_the_route_that_leaves_least_for_others_is_taken_before_a_cheaper_one() -> None:
    answer = bearing_planned()
    (first, *others), shop = answer.routes, answer.shop
    assert others
    less = replace(first, route=replace(first.route, cannot=(Undone("mill", None, ("P1",), ()),)))
    assert plan_part.choose([less, others[0]], shop) == 1
    assert plan_part.choose([first, others[0]], shop) == plan_part.choose([first, others[0], less], shop)


def test_of_routes_that_leave_something_a_dear_one_that_leaves_one_thing_less_gives_way() -> None:
    answer = bearing_planned()
    first, shop = answer.routes[0], answer.shop
    assert first.price is not None

    def leaving(count: int, more_money: float) -> plan_part.RoutePlanned:
        assert first.price is not None
        p50 = first.price.cost_p50
        left = tuple(Undone("mill", None, (f"P{n}",), ()) for n in range(count))
        return replace(
            first, route=replace(first.route, cannot=left),
            price=replace(first.price, cost_p50=replace(p50, value=p50.value + more_money)),
        )  # fmt: skip

    each = float(shop.terms.minimum_charge)
    assert plan_part.choose([leaving(1, 1.5 * each), leaving(2, 0.0)], shop) == 1
    assert plan_part.choose([leaving(1, 0.5 * each), leaving(2, 0.0)], shop) == 0
    assert plan_part.choose([leaving(0, 9.0 * each), leaving(1, 0.0)], shop) == 0


def test_a_dearer_route_that_is_taken_says_that_the_cheapest_would_be_late_and_for_whom_it_waits() -> None:
    answer = bearing_planned()
    first, seller = answer.routes[0], answer.shop.suppliers[0]
    assert first.price is not None
    assert first.promise is not None
    waits = Purchase(because("stock.bought", supplier=seller.name), seller.id, Decimal(9), 100.0, 1.0)
    cheaper = replace(
        first, route=replace(first.route, buy=(waits,)),
        price=replace(first.price, cost_p50=replace(first.price.cost_p50, value=first.price.cost_p50.value - 5.0)),
        promise=replace(first.promise, odds=replace(first.promise.odds, value=0.3)),
    )  # fmt: skip
    here = replace(
        first, route=replace(first.route, buy=()),
        promise=replace(first.promise, odds=replace(first.promise.odds, value=0.95)),
    )  # fmt: skip
    chosen = plan_part.choose([cheaper, here], answer.shop)
    assert chosen == 1
    told = told_why([cheaper, here], chosen, answer.shop.suppliers)
    given = dict(told[1].route.why[0].given)
    assert told[1].route.why[0].key == "route.in_time_bought"
    assert (given["supplier"], given["own_odds"], given["cheaper_odds"]) == (seller.name, 0.95, 0.3)
    assert given["more_money"] == pytest.approx(5.0)
    assert told_why([cheaper, here], 0, answer.shop.suppliers) == (cheaper, here)


def test_treatments_typed_into_the_form_are_read_one_after_the_other_or_said_as_the_form_calls_them() -> None:
    assert treatments("") == ()
    assert treatments("ground S2; plated 8 um;") == finishes(["plated 8 um", "ground S2"])
    with pytest.raises(BadInput) as bad:
        treatments("polished to a shine")
    assert in_the_form(bad.value).startswith("Treatments outside: 'polished to a shine' is no treatment")
