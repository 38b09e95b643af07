"""What is sent out, and what that asks of the steps before: vendors chosen, limits before each treatment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from steadyrest.route.finishing import before, case_to_order
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.finish import Finish
from steadyrest.shop.floor import Vendor
from steadyrest.shop.part import Part
from steadyrest.shop.work import Step, Undone
from steadyrest.stations import outside
from steadyrest.stations.answer import Ask
from steadyrest.stations.known import STATIONS


@dataclass(frozen=True, slots=True)
class Sent:
    """What goes out.

    part: as it must be machined, with the limits before every treatment. steps: outside, in their order.
    between: the step between roughing and finishing (stress relieved), or None.
    changes: whether any limits before differ from those after. cannot: treatments and sizes that cannot be had.
    """

    part: Part
    steps: tuple[Step, ...] = ()
    between: Step | None = None
    changes: bool = False
    cannot: tuple[Undone, ...] = ()


def send_out(part: Part, finishes: tuple[Finish, ...], ask: Callable[[Part], Ask]) -> Sent:
    """Vendors and steps for all treatments, and the part as it must be machined for them.

    Args:
        part: as the drawing wants it.
        finishes: in the order in which they are done.
        ask: gives what a station is asked about a part.
    Returns: what goes out; nothing where nothing is asked for.
    """
    vendors: dict[str, Vendor] = {}
    cannot: list[Undone] = []
    for finish in finishes:
        found = outside.chosen(ask(part), finish)
        if isinstance(found, Vendor):
            vendors[finish.way] = found
        else:
            nearest = because("outside.nearest", way=finish.way)
            cannot.append(
                Undone("outside", None, (), (because("outside.wanted", finish=finish.shown), *found), nearest)
            )
    steps: list[Step] = []
    between, changes, made = None, False, part
    # From the last treatment back: what must come back from one is what the next must be given.
    for finish in reversed(finishes):
        vendor = vendors.get(finish.way)
        if vendor is None:
            continue
        left = before(made, finish, vendor)
        cannot.extend(left.cannot)
        step = STATIONS["outside"](replace(ask(made), finish=finish)).steps[0]
        step = replace(step, notes=(*step.notes, *left.notes, *_case(finish, finishes, vendors)))
        changes = changes or bool(left.notes)
        made = left.part
        if finish.way == "stress relieved":
            between = step
        else:
            steps.insert(0, step)
    return Sent(made, tuple(steps), between, changes, tuple(cannot))


def _case(finish: Finish, finishes: tuple[Finish, ...], vendors: dict[str, Vendor]) -> tuple[Reason, ...]:
    """At the case hardening: how deep to order it."""
    if finish.way != "case hardened":
        return ()
    why = case_to_order(finishes, vendors.get("ground"))
    return (why,) if why else ()
