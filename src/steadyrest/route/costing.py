"""What a route costs the shop, to rank routes by; price knows better."""

from __future__ import annotations

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Step
from steadyrest.stock.choice import Choice


def route_cost(choice: Choice, steps: tuple[Step, ...], shop: Shop) -> tuple[Figure, Reason]:
    """What the lot costs the shop: material, people and machines at cost. Only to rank routes; price knows better.

    Args:
        choice: its stock.
        steps: of the route.
        shop: its people and machines.
    Returns: (money, the reason that splits it).
    """
    people = sum(
        phase.duration_s.value / 3600.0 * _hour(shop, phase.who) for step in steps for phase in step.phases if phase.who
    )
    machines = sum(
        step.machine_s / 3600.0 * float(shop.machine(step.machine).per_hour) for step in steps if step.machine
    )
    material = choice.cost.value
    cash = float(sum(step.cash for step in steps))
    key = "route.cost_sent" if cash else "route.cost"
    why = because(key, material_money=material, people_money=people, machines_money=machines, outside_money=cash)
    return Figure(material + people + machines + cash, "money", (why, *choice.cost.why)), why


def _hour(shop: Shop, who: tuple[str, ...]) -> float:
    """An hour of whoever of these it will be: their mean."""
    return sum(float(shop.person(name).per_hour) for name in who) / len(who)
