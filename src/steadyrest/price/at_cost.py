"""Hours of people and machines at what they cost the shop, each a line with where its rate comes from."""

from __future__ import annotations

from decimal import Decimal

from steadyrest.price.answer import Line
from steadyrest.promise.answer import JobDraws
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, Shop
from steadyrest.shop.money import Money

HOUR_S = 3600.0


def at_cost(draws: JobDraws, shop: Shop) -> tuple[Line, ...]:
    """The mean hours of everybody and everything on this job.

    Args:
        draws: of the promise.
        shop: rates.
    Returns: people, then machines, in the file's order; a line of nothing is left out.
    """
    lines: list[Line] = []
    for person, hours_s in zip(shop.people, draws.person_s.mean(axis=0), strict=True):
        rate = float(person.per_hour)
        what = because("price.at_cost", who=person.name, hours_s=float(hours_s), rate_money=rate)
        lines.append(Line(what, _money(float(hours_s) / HOUR_S * rate, shop)))
    for machine, hours_s in zip(shop.machines, draws.machine_s.mean(axis=0), strict=True):
        lines.append(
            Line(_machine(machine, float(hours_s)), _money(float(hours_s) / HOUR_S * float(machine.per_hour), shop))
        )
    return tuple(line for line in lines if line.amount.amount > 0)


def _machine(machine: Machine, hours_s: float) -> Reason:
    rate, hour = float(machine.per_hour), machine.hour
    if hour is None:
        return because("price.at_cost", who=machine.name, hours_s=hours_s, rate_money=rate)
    return because(
        "price.at_cost_worked_out", who=machine.name, hours_s=hours_s, rate_money=rate, wear_money=hour.wear,
        interest_money=hour.money_in_it, kept_money=hour.kept, power_money=hour.power, run_h=f"{hour.hours:g}",
    )  # fmt: skip


def _money(amount: float, shop: Shop) -> Money:
    return Money(Decimal(repr(amount)), shop.currency).rounded()
