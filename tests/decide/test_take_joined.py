"""A job of several parts: what nobody here can do is a no with its name, and every reason of a part names the part."""

from __future__ import annotations

from datetime import datetime, timedelta

from steadyrest.decide.take_joined import PartAsked, take_joined
from steadyrest.shop.figure import because
from steadyrest.shop.work import Route, Step, Undone
from tests.stations import parts

NOW = datetime.fromisoformat("2026-11-27T12:10:00+01:00")
DUE = NOW + timedelta(days=9)
SHOP = parts.demo_shop()
STEP = Step("turn", "turn", "lathe", because("hand.hold"), (), (), ())
GOES = Route((STEP,), None, None, None, (), (), ())


def never(name: str) -> Route:
    nearest = because("saw.nearest_bought")
    no = Undone("turn", "lathe", (name,), (because("route.nobody", feature=name),), nearest)
    return Route((), None, None, None, (), (no,), ())


def test_a_part_that_cannot_be_made_is_named_before_its_reasons_and_in_them() -> None:
    asked = (PartAsked("P1", parts.pin(), GOES), PartAsked("P2", parts.pin(), never("F3")))
    found = take_joined(asked, (), None, None, due=DUE, now=NOW, shop=SHOP)
    assert found.answer == "no"
    assert found.why[0] == because("joined.cannot", part="P2")
    assert because("route.nobody", feature="P2 F3") in found.why
    assert found.nearest_yes == because("joined.cannot_then", parts="P2")


def test_two_parts_that_cannot_be_made_are_both_named_in_the_nearest_yes() -> None:
    asked = tuple(PartAsked(name, parts.pin(), never("F1")) for name in ("P1", "P2"))
    found = take_joined(asked, (), None, None, due=DUE, now=NOW, shop=SHOP)
    assert found.nearest_yes == because("joined.cannot_then", parts="P1, P2")
    assert [dict(why.given)["part"] for why in found.why if why.key == "joined.cannot"] == ["P1", "P2"]


def test_a_step_that_nobody_here_does_is_a_no_with_its_own_way_out() -> None:
    way = because("joined.nobody_then", skill="weld", step="W1")
    no = Undone("hand", None, (), (because("joined.nobody", step="W1", joint="welded tack", skill="weld"),), way)
    found = take_joined((PartAsked("P1", parts.pin(), GOES),), (no,), None, None, due=DUE, now=NOW, shop=SHOP)
    assert (found.answer, found.nearest_yes) == ("no", way)
    assert found.why == no.reasons
