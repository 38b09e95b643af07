"""Which tools a lot wears, and how many fresh edges must lie ready: by what is used of each one's life already."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, Shop
from steadyrest.shop.work import Step


def with_drawer(steps: tuple[Step, ...], *, quantity: int, shop: Shop) -> tuple[Step, ...]:
    """The steps, each with a note for every tool that will not last, and for every one that is nearly used up.

    Args:
        steps: in their order.
        quantity: parts in the lot.
        shop: its machines' drawers.
    Returns: the same steps, with the money for the edges that they wear. What an earlier step wears counts for a later
        one with the same tool.
    """
    worn: dict[tuple[str, int], float] = {}
    found: list[Step] = []
    for step in steps:
        if step.machine is None or not step.tool_s:
            found.append(step)
            continue
        machine = shop.machine(step.machine)
        notes: list[Reason] = []
        cash = _worn_money(machine, step, quantity)
        if cash > 0:
            notes.append(because("drawer.worn", cost_money=float(cash)))
        for number, each_s in step.tool_s:
            before_s = worn.get((machine.id, number), 0.0)
            notes.extend(edges(machine, number, before_s=before_s, run_s=each_s * quantity))
            worn[machine.id, number] = before_s + each_s * quantity
        found.append(replace(step, notes=(*step.notes, *notes), cash=step.cash + cash))
    return tuple(found)


def _worn_money(machine: Machine, step: Step, quantity: int) -> Decimal:
    """What the lot wears off the edges, at the price of a fresh one; nothing where the drawer tells no price."""
    tools = {tool.number: tool for tool in machine.tools}
    return sum(
        (
            tools[number].edge_money * Decimal(repr(each_s * quantity / tools[number].life_s))
            for number, each_s in step.tool_s
        ),
        Decimal(0),
    ).quantize(Decimal("0.01"))


def edges(machine: Machine, number: int, *, before_s: float, run_s: float) -> tuple[Reason, ...]:
    """What a tool asks for, where its life does not carry the run.

    Args:
        machine: with the tool.
        number: of the tool.
        before_s: what earlier steps of the same job cut with it. run_s: what this one does.
    Returns: that fresh edges are wanted, how many; or nothing.
    """
    tool = next(one for one in machine.tools if one.number == number)
    used_s = min(tool.used_s, tool.life_s) + before_s
    left_s = tool.life_s - used_s % tool.life_s if used_s else tool.life_s
    if run_s <= left_s + 1e-9:
        return ()
    count = math.ceil((run_s - left_s) / tool.life_s - 1e-9)
    return (
        because(
            "drawer.edges", tool=float(number), kind=tool.kind, count=float(count), run_s=run_s, left_s=left_s,
            life_s=tool.life_s,
        ),
    )  # fmt: skip
