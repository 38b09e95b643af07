"""For how much: costs as draws, the price to walk away at, the offer, and the offer by quantity."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from steadyrest.price.answer import Break, Line, Price
from steadyrest.price.cash import cash_out
from steadyrest.price.won import won_ratio
from steadyrest.promise.answer import JobDraws
from steadyrest.shop.draws import FloatArray, quantiles
from steadyrest.shop.figure import Figure, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money
from steadyrest.shop.work import Route

HOUR_S = 3600.0
BREAKS = (1, 2, 5, 10)


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What changes the price of the same work. after_hours: share of the people's hours outside the shop's day.

    rivals: how many others offer (0: nobody else is asked). sigma: how far estimates like this one are off (sd of the
    logarithm); None: as the draws say.
    """

    rush: bool = False
    after_hours: float = 0.0
    rivals: int = 1
    sigma: float | None = None


@dataclass(frozen=True, slots=True)
class Sold:
    """Means of the lot. labour, machines: at what they are sold for; labour_s: people's time; cash: what goes out."""

    labour: float
    machines: float
    labour_s: float
    cash: Money


def price(
    route: Route,
    draws: JobDraws,
    *,
    shop: Shop,
    quantity: int,
    circumstances: Circumstances | None = None,
    route_for: Callable[[int], Route | None] | None = None,
    quantities: Sequence[int] = BREAKS,
    cash_for: Callable[[Route, int], tuple[Line, ...]] | None = None,
) -> Price:
    """What the lot costs, what to walk away at, what to ask.

    Args:
        route: for the whole lot.
        draws: of the promise of this route: who worked how long, what lateness it inflicts.
        shop: rates and terms.
        quantity: parts in the lot; at least 1.
        circumstances: rush, after hours, rivals.
        route_for: gives the route for another quantity, or None where there is none; without it there are no breaks.
        quantities: for which the offer is also worked out; the lot's own is always among them.
        cash_for: what goes out for a route and its quantity; None: as one part's route says. Several parts know better.
    Returns: the price; its lines add up to the offer to the cent.
    Raises: ValueError: quantity below 1.
    """
    if quantity < 1:
        raise ValueError(f"price: quantity {quantity!r} must be at least 1")
    under = circumstances or Circumstances()
    goes_out = cash_for or (lambda one, count: cash_out(one, shop=shop, quantity=count))
    cash = goes_out(route, quantity)
    out = _sum((line.amount for line in cash), shop)
    own = _cost_of_hours(draws, shop)
    low, middle, high = quantiles(own + float(out.amount), 0.1, 0.5, 0.9)
    sigma = under.sigma if under.sigma is not None else _sigma(own)
    ratio = won_ratio(sigma, under.rivals)
    late = _money(max(0.0, float(draws.late_money.mean())), shop)
    walk_away = (out + _money(float(own.mean()), shop) + late).rounded()
    sold = _sold(draws, out, shop)
    lines = offer_lines(sold, shop=shop, under=under, ratio=ratio, walk_away=walk_away)
    offer = _sum((line.amount for line in lines), shop)
    hours_s = float(draws.person_s.sum(axis=1).mean())
    spread = (because("price.spread", factor=round(math.exp(sigma), 2)),)
    return Price(
        quantity=quantity,
        currency=shop.currency,
        cash=cash,
        hours=Figure(hours_s, "s", (because("price.hours", draws=float(draws.finish_s.size)),)),
        cost_p10=Figure(low, "money", (because("price.cost_p10"), *spread)),
        cost_p50=Figure(middle, "money", (because("price.cost_p50"), *spread)),
        cost_p90=Figure(high, "money", (because("price.cost_p90"), *spread)),
        walk_away=walk_away,
        walk_away_why=(
            because("price.walk_away", cash_money=_plain(out), hours_money=float(own.mean()), late_money=_plain(late)),
        ),
        offer=offer,
        offer_why=tuple(line.what for line in lines),
        lines=lines,
        breaks=_breaks(route, sold, shop=shop, quantity=quantity, under=under, ratio=ratio, late=late,
                       own=float(own.mean()), route_for=route_for, quantities=quantities, goes_out=goes_out),
        late=late,
        won_ratio=ratio,
        sigma=sigma,
        rivals=under.rivals,
    )  # fmt: skip


def offer_lines(sold: Sold, *, shop: Shop, under: Circumstances, ratio: float, walk_away: Money) -> tuple[Line, ...]:
    """The offer line by line, each to the cent.

    Of rush and after hours the higher factor counts, never both: an hour is dear once.

    Args:
        sold: hours at their rates, and cash.
        shop: margin, factors, minimum charge.
        under: rush, after hours, rivals.
        ratio: how much longer won work takes than estimated.
        walk_away: the offer never stands below it.
    Returns: lines; a line of nothing is left out.
    """
    terms = shop.terms
    rush = terms.rush_factor if under.rush else 1.0
    night = max(terms.after_hours_factor, rush)
    machines = sold.machines * (1 + terms.margin)
    won = (sold.labour + machines) * (ratio - 1)
    dear = sold.labour * ratio
    cash = _plain(sold.cash)
    wanted = (
        (because("price.labour", hours_s=sold.labour_s), sold.labour),
        (because("price.machines", margin=_percent(terms.margin)), machines),
        (because("price.cash", cash_money=cash, margin=_percent(terms.margin)), cash * (1 + terms.margin)),
        (because("price.won", ratio=round(ratio, 2), rivals=float(under.rivals)), won),
        (because("price.rush", factor=rush), dear * (1 - under.after_hours) * (rush - 1)),
        (because("price.after_hours", factor=night, share=_percent(under.after_hours)),
         dear * under.after_hours * (night - 1)),
    )  # fmt: skip
    lines = [Line(what, _money(amount, shop)) for what, amount in wanted if _money(amount, shop).amount > 0]
    total = _sum((line.amount for line in lines), shop)
    for key, least in (("price.minimum", Money(terms.minimum_charge, shop.currency)), ("price.not_below", walk_away)):
        if total.amount < least.amount:
            lines.append(Line(because(key, least_money=_plain(least)), least.rounded() - total))
            total = least.rounded()
    return tuple(lines)


def _breaks(
    route: Route,
    sold: Sold,
    *,
    shop: Shop,
    quantity: int,
    under: Circumstances,
    ratio: float,
    late: Money,
    own: float,
    route_for: Callable[[int], Route | None] | None,
    quantities: Sequence[int],
    goes_out: Callable[[Route, int], tuple[Line, ...]],
) -> tuple[Break, ...]:
    """The offer for other quantities: stated hours of their routes, in the ratio the lot's draws show.

    Lateness inflicted on others is taken as for the lot: it belongs to this week, not to the parts.
    """
    if route_for is None:
        return ()
    routes: dict[int, Route] = {}
    for q in sorted({*quantities, quantity}):
        found = route if q == quantity else route_for(q)
        if found is not None and found.steps:
            routes[q] = found
    stated = {q: _stated(each, shop) for q, each in routes.items()}
    fixed = _fixed_s({q: each.labour_s for q, each in stated.items()})
    mine, breaks = stated[quantity], list[Break]()
    for q, each in stated.items():
        cash = sold.cash if q == quantity else _sum((line.amount for line in goes_out(routes[q], q)), shop)
        scaled = replace(
            sold,
            labour=sold.labour * _over(each.labour, mine.labour),
            machines=sold.machines * _over(each.machines, mine.machines),
            labour_s=sold.labour_s * _over(each.labour_s, mine.labour_s),
            cash=cash,
        )
        walk_away = (cash + _money(own * _over(each.labour, mine.labour), shop) + late).rounded()
        lines = offer_lines(scaled, shop=shop, under=under, ratio=ratio, walk_away=walk_away)
        total = _sum((line.amount for line in lines), shop)
        share = _over(fixed, each.labour_s)
        why = because("price.break", quantity=float(q), share=_percent(share))
        breaks.append(Break(q, total, total.times(1 / q).rounded(), share, (why,)))
    return tuple(breaks)


def _fixed_s(hours_s: dict[int, float]) -> float:
    """The hours that do not grow with the quantity, from the two smallest quantities; 0 with only one."""
    if len(hours_s) < 2:
        return 0.0
    (a, at_a), (b, at_b) = sorted(hours_s.items())[:2]
    return min(max(0.0, at_a - a * (at_b - at_a) / (b - a)), at_a)


def _stated(route: Route, shop: Shop) -> Sold:
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


def _sold(draws: JobDraws, cash: Money, shop: Shop) -> Sold:
    charge = np.array([float(person.charge_per_hour) for person in shop.people])
    machine = np.array([float(machine.per_hour) for machine in shop.machines])
    hours = draws.person_s.mean(axis=0)
    labour = float(hours @ charge) / HOUR_S
    return Sold(labour, float(draws.machine_s.mean(axis=0) @ machine) / HOUR_S, float(hours.sum()), cash)


def _cost_of_hours(draws: JobDraws, shop: Shop) -> FloatArray:
    """(n,) people's and machines' hours at what they cost the shop."""
    people = np.array([float(person.per_hour) for person in shop.people])
    machines = np.array([float(machine.per_hour) for machine in shop.machines])
    return (draws.person_s @ people + draws.machine_s @ machines) / HOUR_S


def _sigma(cost: FloatArray) -> float:
    return float(np.std(np.log(cost))) if (cost > 0).all() else 0.0


def _over(a: float, b: float) -> float:
    return a / b if b > 0 else 0.0


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _money(amount: float, shop: Shop) -> Money:
    return Money(Decimal(repr(amount)), shop.currency).rounded()


def _plain(money: Money) -> float:
    return float(money.amount)


def _sum(amounts: Iterable[Money], shop: Shop) -> Money:
    return sum(amounts, Money(Decimal(0), shop.currency))
