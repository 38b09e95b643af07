"""What must be done before what: a step waits for the one before it at the work, and for its program at the desk.

The desk does not wait for the stock: modelling and programming go on while it is on order.
"""

from __future__ import annotations

from dataclasses import replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Purchase, Step


def with_precedence(steps: tuple[Step, ...], shop: Shop) -> tuple[Step, ...]:
    """The steps, each with the ids of those that must be done before it begins.

    Args:
        steps: in their order.
        shop: which machines run a program.
    Returns: the same steps.
    """
    controlled = {machine.id for machine in shop.machines if getattr(machine.limits, "controlled", False)}
    desk = tuple(step.id for step in steps if not step.needs_stock)
    found: list[Step] = []
    before: tuple[str, ...] = ()
    for step in steps:
        if not step.needs_stock:
            found.append(step)
            continue
        programs = desk if step.machine in controlled else ()
        found.append(replace(step, after=(*before, *programs)))
        before = (step.id,)
    return tuple(found)


def desk_s(steps: tuple[Step, ...]) -> float:
    """What of the work needs no stock, s.

    Args:
        steps: of a route.
    Returns: the hours at the desk.
    """
    return sum(phase.duration_s.value for step in steps if not step.needs_stock for phase in step.phases)


def while_on_order(steps: tuple[Step, ...], buy: tuple[Purchase, ...]) -> tuple[Reason, ...]:
    """That the desk work goes on while the stock is on order; empty where nothing is bought or programmed.

    Args:
        steps: of a route.
        buy: its purchases.
    Returns: the reason, or none.
    """
    at_desk_s = desk_s(steps)
    if not buy or at_desk_s <= 0:
        return ()
    return (because("route.desk_meanwhile", desk_s=at_desk_s, supplier=buy[0].supplier),)
