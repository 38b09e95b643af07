"""A machine's service by the hours it has run, as the shop's own work of the week: due before it has run too long."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from steadyrest.promise.shop_week import due_of
from steadyrest.shop.floor import Machine, PromisedPhase, PromisedWork, Shop

HOUR_S = 3600.0
SPREAD = 0.15


def service_due(machine: Machine, run_h: float, works: Sequence[PromisedWork], *, shop: Shop, now: datetime
                ) -> PromisedWork | None:  # fmt: skip
    """The service that the work of the week brings on; None: it is not reached.

    Args:
        machine: with its service.
        run_h: hours it has run since it was served.
        works: everything promised.
        shop: who can do it: those who can run the machine.
        now: aware.
    Returns: the shop's own work, due when the job is due in which the hours are reached; now, if they are.
    """
    who = shop.operators(machine.id)
    if machine.service_every_h <= 0 or not who:
        return None
    left_s = (machine.service_every_h - run_h) * HOUR_S
    due = now if left_s <= 0 else None
    for at, work in sorted(((due_of(work, now=now, timezone=shop.timezone), work) for work in works),
                           key=lambda pair: pair[0]):  # fmt: skip
        if due is not None:
            break
        left_s -= sum(phase.duration_s for phase in work.phases if phase.machine == machine.id)
        due = max(at, now) if left_s <= 0 else None
    if due is None:
        return None
    phase = PromisedPhase(machine.id, who, machine.service_s, SPREAD, interruptible=True)
    return PromisedWork(
        f"service {machine.id}", f"service of the {machine.name}", due, Decimal(0), Decimal(0), (phase,), own=True
    )
