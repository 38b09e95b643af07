"""For how much: costs as draws, the price to walk away at, the offer, what it is by the hour and by quantity."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from steadyrest.price.answer import Line, Price
from steadyrest.price.at_cost import at_cost
from steadyrest.price.breaks import HOUR_S, Lot, breaks
from steadyrest.price.by_the_hour import ByTheHour, by_the_hour
from steadyrest.price.cash import cash_out
from steadyrest.price.offer import Circumstances, Sold, money, moved, offer_lines, plain, total
from steadyrest.price.scrap import Scrap
from steadyrest.price.winning import Quoted, winning
from steadyrest.price.won import won_ratio
from steadyrest.promise.answer import JobDraws
from steadyrest.shop.draws import FloatArray, quantiles
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.money import Money
from steadyrest.shop.work import Route

BREAKS = (1, 2, 5, 10)


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
    scrap: Scrap | None = None,
    quotes: Sequence[Quoted] = (),
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
        scrap: what goes wrong, over as many draws; None: nothing is known of it.
        quotes: earlier ones that were decided; the offer follows them once they are enough.
    Returns: the price; its lines add up to the offer to the cent.
    Raises: ValueError: quantity below 1, or scrap of another number of draws.
    """
    if quantity < 1:
        raise ValueError(f"price: quantity {quantity!r} must be at least 1")
    under = circumstances or Circumstances()
    goes_out = cash_for or (lambda one, count: cash_out(one, shop=shop, quantity=count))
    cash = goes_out(route, quantity)
    out = total((line.amount for line in cash), shop)
    own = _cost_of_hours(draws, shop)
    wrong = _wrong(scrap, own, float(out.amount), route, quantity)
    low, middle, high = quantiles(own + float(out.amount) + wrong, 0.1, 0.5, 0.9)
    sigma = under.sigma if under.sigma is not None else _sigma(own)
    ratio = won_ratio(sigma, under.rivals)
    late = money(max(0.0, float(draws.late_money.mean())), shop)
    walk_away = (out + money(float((own + wrong).mean()), shop) + late).rounded()
    sold = _sold(draws, out, shop, float(wrong.mean()))
    lines = offer_lines(sold, shop=shop, under=under, ratio=ratio, walk_away=walk_away)
    by_rates = total((line.amount for line in lines), shop)
    won = winning(quotes, by_rates=plain(by_rates), walk_away=plain(walk_away)) if by_rates.amount > 0 else None
    followed = won.best_ratio if won is not None and won.followed else 1.0
    lines = moved(lines, followed, shop=shop, walk_away=walk_away) if followed != 1.0 else lines
    offer = total((line.amount for line in lines), shop)
    hours_s = float(draws.person_s.sum(axis=1).mean())
    spread = (because("price.spread", factor=round(math.exp(sigma), 2)),)
    deposit = _deposit(offer, shop)
    return Price(
        quantity=quantity,
        currency=shop.currency,
        cash=cash,
        hours=Figure(hours_s, "s", (because("price.hours", draws=float(draws.finish_s.size)),)),
        cost_p10=Figure(low, "money", (because("price.cost_p10"), *spread)),
        cost_p50=Figure(middle, "money", (because("price.cost_p50"), *spread)),
        cost_p90=Figure(high, "money", (because("price.cost_p90"), *spread)),
        walk_away=walk_away,
        walk_away_why=_walk_away_why(out, own, wrong, late, hours_s),
        offer=offer,
        offer_why=tuple(line.what for line in lines),
        lines=lines,
        breaks=breaks(Lot(route, quantity, sold, own, late, under, ratio, followed), shop, route_for=route_for,
                      quantities=quantities, goes_out=goes_out),
        late=late,
        won_ratio=ratio,
        sigma=sigma,
        rivals=under.rivals,
        at_cost=at_cost(draws, shop),
        winning=won,
        lost=None if scrap is None else scrap.lost,
        again=None if scrap is None else scrap.again,
        spare=0 if scrap is None else scrap.spare,
        spare_why=() if scrap is None else scrap.why,
        by_the_hour=_by_the_hour(draws, out, wrong, shop=shop, under=under, ratio=ratio),
        deposit=deposit,
        deposit_why=() if deposit is None else (because("price.deposit", share=f"{100 * shop.terms.deposit:.0f} %",
                                                        from_money=float(shop.terms.deposit_from)),),
        valid_days=shop.terms.validity_days,
    )  # fmt: skip


def _wrong(scrap: Scrap | None, own: FloatArray, out: float, route: Route, quantity: int) -> FloatArray:
    """(n,) what parts that go wrong cost: one lost costs what one costs, one cut again one visit to one machine."""
    if scrap is None:
        return np.zeros(own.size)
    if scrap.lost_parts.size != own.size:
        raise ValueError(f"price: scrap has {scrap.lost_parts.size} draws, the hours have {own.size}")
    visits = max(1, sum(step.machine is not None for step in route.steps))
    each = own / quantity
    return scrap.lost_parts * (each + out / quantity) + scrap.again_parts * each / visits


def _walk_away_why(out: Money, own: FloatArray, wrong: FloatArray, late: Money, hours_s: float) -> tuple[Reason, ...]:
    """What stands behind the price to walk away at, and what an hour of this week is worth."""
    hours = float(own.mean())
    why = [because("price.walk_away", cash_money=plain(out), hours_money=hours, late_money=plain(late))]
    if wrong.mean() >= 0.005:
        why.append(because("price.walk_away_wrong", wrong_money=float(wrong.mean())))
    if hours_s > 0:
        an_hour = HOUR_S / hours_s
        why.append(because("price.an_hour", hour_money=hours * an_hour, displaced_money=plain(late) * an_hour))
    why.append(because("price.idle", idle_money=plain(out) + plain(late)))
    return tuple(why)


def _deposit(offer: Money, shop: Shop) -> Money | None:
    """What is paid before the work begins; None where nothing is asked."""
    terms = shop.terms
    return offer.times(terms.deposit).rounded() if terms.deposit > 0 and offer.amount >= terms.deposit_from else None


def _by_the_hour(
    draws: JobDraws, out: Money, wrong: FloatArray, *, shop: Shop, under: Circumstances, ratio: float
) -> ByTheHour:
    """The same work charged by the hour: what each draw comes to at the rates, the dear hours dear."""
    terms = shop.terms
    rush = terms.rush_factor if under.rush else 1.0
    night = max(terms.after_hours_factor, rush)
    charge = np.array([float(person.charge_per_hour) for person in shop.people])
    machine = np.array([float(one.per_hour) for one in shop.machines]) * (1 + terms.margin)
    dear = (1 - under.after_hours) * rush + under.after_hours * night
    hours = (draws.person_s @ charge * dear + draws.machine_s @ machine) / HOUR_S
    charged = hours * ratio + (plain(out) + wrong) * (1 + terms.margin)
    return by_the_hour(charged, wanted_odds=terms.wanted_odds, least=Money(terms.minimum_charge, shop.currency))


def _sold(draws: JobDraws, cash: Money, shop: Shop, wrong: float) -> Sold:
    charge = np.array([float(person.charge_per_hour) for person in shop.people])
    machine = np.array([float(machine.per_hour) for machine in shop.machines])
    hours = draws.person_s.mean(axis=0)
    labour = float(hours @ charge) / HOUR_S
    return Sold(labour, float(draws.machine_s.mean(axis=0) @ machine) / HOUR_S, float(hours.sum()), cash, wrong)


def _cost_of_hours(draws: JobDraws, shop: Shop) -> FloatArray:
    """(n,) people's and machines' hours at what they cost the shop."""
    people = np.array([float(person.per_hour) for person in shop.people])
    machines = np.array([float(machine.per_hour) for machine in shop.machines])
    return (draws.person_s @ people + draws.machine_s @ machines) / HOUR_S


def _sigma(cost: FloatArray) -> float:
    return float(np.std(np.log(cost))) if (cost > 0).all() else 0.0
