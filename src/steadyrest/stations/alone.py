"""May it run with nobody there? First the prohibitions; a machine that is not on the list still needs its own yes.

The list is data: a reason, and what it applies to. Where one applies, the answer is no, whatever else is good.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine, Material
from steadyrest.shop.work import Phase

FIRE_PRONE_GROUPS = (36, 37)  # titanium: fine chips burn


@dataclass(frozen=True, slots=True)
class Run:
    """What runs: the machine, the metal, and what the work is like.

    way: "cut", "thermal", "hot sheet", "weld", "hand-loaded mould". roughs: heavy chips. proof: this program has run
    with somebody looking, on this metal, without a nest of chips.
    edge_left_s: what is left of the most worn edge's life.
    """

    machine: Machine
    material: Material
    way: str
    roughs: bool
    proof: bool
    run_s: float
    edge_left_s: float
    controlled: bool
    vacuum_without_switch: bool = False
    oil_coolant: bool = False


@dataclass(frozen=True, slots=True)
class Ban:
    key: str
    applies: Callable[[Run], bool]


BANS: tuple[Ban, ...] = (
    Ban("alone.thermal", lambda run: run.way == "thermal"),
    Ban("alone.hot_sheet", lambda run: run.way == "hot sheet"),
    Ban("alone.weld", lambda run: run.way == "weld"),
    Ban("alone.mould", lambda run: run.way == "hand-loaded mould"),
    Ban("alone.manual", lambda run: not run.controlled),
    Ban("alone.not_allowed", lambda run: not run.machine.may_run_alone),
    Ban("alone.stringy", lambda run: run.material.stringy and run.roughs and not run.proof),
    Ban("alone.fire", lambda run: run.material.group in FIRE_PRONE_GROUPS or run.oil_coolant),
    Ban("alone.vacuum", lambda run: run.vacuum_without_switch),
    Ban("alone.edge", lambda run: run.edge_left_s < run.run_s),
)


def bans(run: Run) -> tuple[Reason, ...]:
    """Every reason why this run needs somebody there; empty: none of the list applies.

    Args:
        run: what runs.
    Returns: reasons in the list's order.
    """
    return tuple(
        because(ban.key, machine=run.machine.name, material=run.material.id, run_s=run.run_s, left_s=run.edge_left_s)
        for ban in BANS
        if ban.applies(run)
    )


def settled(phases: tuple[Phase, ...], banned: tuple[Reason, ...], quantity: int) -> tuple[bool, tuple[Reason, ...]]:
    """Whether a step really runs alone somewhere, and if not, why.

    Args:
        phases: of the step.
        banned: reasons of the list that apply.
        quantity: of the lot.
    Returns: (runs alone, why not; empty if it does).
    """
    if any(not phase.who for phase in phases):
        return True, ()
    if banned:
        return False, banned
    if quantity == 1:
        return False, (because("alone.first_part"),)
    return False, (because("alone.not_worth"),)
