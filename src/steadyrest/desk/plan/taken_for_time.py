"""Why a dearer route is taken: the cheapest would not be in time, most often since its material has to come first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Supplier

if TYPE_CHECKING:
    from steadyrest.desk.plan.plan_part import RoutePlanned


def told_why(
    planned: Sequence[RoutePlanned], chosen: int | None, suppliers: Sequence[Supplier]
) -> tuple[RoutePlanned, ...]:
    """The routes, the one chosen saying what it costs more than the cheapest, and the odds of both.

    Args:
        planned: every route, promised and priced on the same luck. chosen: which is taken. suppliers: for their names.
    Returns: the same where the cheapest of those that make as much is taken, or none is.
    """
    if chosen is None:
        return tuple(planned)
    own = planned[chosen]
    money = {id(one): one.price.cost_p50.value for one in planned if one.price is not None and one.promise is not None}
    as_much = [one for one in planned if id(one) in money and one.route.left == own.route.left]
    cheapest = min(as_much, key=lambda one: money[id(one)], default=own)
    if cheapest is own or money[id(cheapest)] >= money[id(own)]:
        return tuple(planned)
    why = _why(own, cheapest, money[id(own)] - money[id(cheapest)], suppliers)
    route = replace(own.route, why=(why, *own.route.why))
    return tuple(replace(one, route=route) if one is own else one for one in planned)


def _why(own: RoutePlanned, cheapest: RoutePlanned, more_money: float, suppliers: Sequence[Supplier]) -> Reason:
    assert own.promise is not None
    assert cheapest.promise is not None
    own_odds, cheaper_odds = own.promise.odds.value, cheapest.promise.odds.value
    ours = {one.supplier for one in own.route.buy}
    from_whom = [one.supplier for one in cheapest.route.buy if one.supplier not in ours]
    if not from_whom:
        return because("route.in_time", more_money=more_money, own_odds=own_odds, cheaper_odds=cheaper_odds)
    name = next((one.name for one in suppliers if one.id == from_whom[0]), from_whom[0])
    return because(
        "route.in_time_bought", more_money=more_money, supplier=name, own_odds=own_odds, cheaper_odds=cheaper_odds
    )
