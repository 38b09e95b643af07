"""More of them: the offer for other quantities, and what those cost over the same draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from steadyrest.price.answer import Break, Line
from steadyrest.price.offer import Circumstances, Sold, money, moved, offer_lines, over, percent, plain, total
from steadyrest.shop.draws import FloatArray, quantiles
from steadyrest.shop.figure import because
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money
from steadyrest.shop.work import Route

HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Lot:
    """What is known of the lot itself. own: (n,) its hours at cost in each draw. late: what it costs other promises.

    followed: by how much the offer is moved from the rates; 1: not.
    """

    route: Route
    quantity: int
    sold: Sold
    own: FloatArray
    late: Money
    under: Circumstances
    ratio: float
    followed: float = 1.0


def breaks(
    lot: Lot,
    shop: Shop,
    *,
    route_for: Callable[[int], Route | None] | None,
    quantities: Sequence[int],
    goes_out: Callable[[Route, int], tuple[Line, ...]],
) -> tuple[Break, ...]:
    """The offer for other quantities: stated hours of their routes, in the ratio the lot's draws show.

    Lateness inflicted on others is taken as for the lot: it belongs to this week, not to the parts.

    Args:
        lot: the lot's own price.
        shop: rates and terms.
        route_for: gives the route for another quantity, or None where there is none; None: there are no breaks.
        quantities: for which it is worked out; the lot's own is always among them.
        goes_out: what goes out for a route and its quantity.
    Returns: by quantity.
    """
    if route_for is None:
        return ()
    routes: dict[int, Route] = {}
    for q in sorted({*quantities, lot.quantity}):
        found = lot.route if q == lot.quantity else route_for(q)
        if found is not None and found.steps:
            routes[q] = found
    by = {q: stated(each, shop) for q, each in routes.items()}
    fixed = _fixed_s({q: each.labour_s for q, each in by.items()})
    mine, sold, made = by[lot.quantity], lot.sold, list[Break]()
    for q, each in by.items():
        cash = sold.cash if q == lot.quantity else total((line.amount for line in goes_out(routes[q], q)), shop)
        share, more = over(each.labour, mine.labour), q / lot.quantity
        scaled = replace(
            sold,
            labour=sold.labour * share,
            machines=sold.machines * over(each.machines, mine.machines),
            labour_s=sold.labour_s * over(each.labour_s, mine.labour_s),
            cash=cash,
            wrong=sold.wrong * more,
        )
        cost = lot.own * share + plain(cash) + sold.wrong * more
        low, high = quantiles(cost, 0.1, 0.9)
        walk_away = (money(float(cost.mean()), shop) + lot.late).rounded()
        lines = offer_lines(scaled, shop=shop, under=lot.under, ratio=lot.ratio, walk_away=walk_away)
        lines = moved(lines, lot.followed, shop=shop, walk_away=walk_away) if lot.followed != 1.0 else lines
        offer = total((line.amount for line in lines), shop)
        set_up = over(fixed, each.labour_s)
        why = because("price.break", quantity=float(q), share=percent(set_up), low_money=low, high_money=high)
        made.append(Break(q, offer, offer.times(1 / q).rounded(), set_up, (why,), low, high))
    return tuple(made)


def _fixed_s(hours_s: dict[int, float]) -> float:
    """The hours that do not grow with the quantity, from the two smallest quantities; 0 with only one."""
    if len(hours_s) < 2:
        return 0.0
    (a, at_a), (b, at_b) = sorted(hours_s.items())[:2]
    return min(max(0.0, at_a - a * (at_b - at_a) / (b - a)), at_a)


def stated(route: Route, shop: Shop) -> Sold:
    """The route's stated hours at the mean rate of those who can do each phase."""
    labour = labour_s = machines = 0.0
    for step in route.steps:
        if step.machine is not None:
            machines += step.machine_s / HOUR_S * float(shop.machine(step.machine).per_hour)
        for phase in step.phases:
            if phase.who:
                rate = float(np.mean([float(shop.person(who).charge_per_hour) for who in phase.who]))
                labour += phase.duration_s.value / HOUR_S * rate
                labour_s += phase.duration_s.value
    return Sold(labour, machines, labour_s, Money(Decimal(0), shop.currency))
