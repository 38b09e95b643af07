"""From the time of one part to the phases of a lot: set-up, first part, the others."""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.figure import Figure, because
from steadyrest.shop.work import Phase
from steadyrest.tables.practice import rule

ALONE_AT_MOST = 12
ALONE_FROM_S = 600.0
PAUSED_FROM_S = 5400.0


@dataclass(frozen=True, slots=True)
class Cycle:
    """One part's time on a machine: cutting, getting there (rapids, tool changes), hands (load, unload, gauge).

    estimate_spread: how far the cutting time's own estimate says that it may be off; never counted below the usual.
    """

    cut_s: float
    travel_s: float
    hands_s: float
    estimate_spread: float = 0.0

    @property
    def cut_spread(self) -> float:
        return max(self.estimate_spread, rule("spread_cut"))

    @property
    def run_s(self) -> float:
        return self.cut_s + self.travel_s


def split(cycle: Cycle, prove_out: float) -> tuple[Figure, ...]:
    """Where one part's time goes, each part with its spread: cutting, getting there, hands, first part.

    Args:
        cycle: of one part.
        prove_out: how many times as long the first part runs.
    Returns: four figures in s.
    """
    return (
        Figure(cycle.cut_s, "s", (because("time.cut", spread=cycle.cut_spread),)),
        Figure(cycle.travel_s, "s", (because("time.travel", spread=cycle.cut_spread),)),
        Figure(cycle.hands_s, "s", (because("time.hands", spread=rule("spread_hands")),)),
        Figure(
            cycle.run_s * (prove_out - 1.0),
            "s",
            (because("time.first", factor=prove_out, spread=rule("spread_first")),),
        ),
    )


def lot_phases(
    cycle: Cycle,
    *,
    set_up_s: float,
    quantity: int,
    who: tuple[str, ...],
    alone: bool,
    prove_out: float,
    edge_changes: int = 0,
    feeds_itself: bool = False,
) -> tuple[Phase, ...]:
    """The phases of a lot on one machine.

    Args:
        cycle: of one part.
        set_up_s: making the machine ready.
        quantity: of the lot; >= 1.
        who: ids of those who can do it.
        alone: whether the machine may run with nobody there once the first part is right.
        prove_out: how many times as long the first part runs.
        edge_changes: how often an edge is changed over the lot.
        feeds_itself: nobody loads: left alone, the others run one after another.
    Returns: set-up, first part, and the others: watched as one stretch, or loaded by somebody and run by nobody.
    """
    changes_s = edge_changes * rule("edge_change_s")
    phases = [
        Phase(
            "set up",
            Figure(set_up_s, "s", (because("time.set_up", set_up_s=set_up_s),)),
            rule("spread_set_up"),
            who,
            True,
        ),
        first_part(cycle, who, prove_out, changes_s if quantity == 1 else 0.0),
    ]
    others = quantity - 1
    if not others:
        return tuple(phases)
    if alone and feeds_itself and not edge_changes:
        fed = because("time.fed", count=float(others), each_s=cycle.run_s)
        phases.append(Phase("the other parts", Figure(others * cycle.run_s, "s", (fed,)), cycle.cut_spread, (), False))
        return tuple(phases)
    if alone and others <= ALONE_AT_MOST and cycle.run_s >= ALONE_FROM_S and not edge_changes:
        load = Figure(cycle.hands_s, "s", (because("time.load", hands_s=cycle.hands_s),))
        run = Figure(cycle.run_s, "s", (because("time.alone", cut_s=cycle.cut_s, travel_s=cycle.travel_s),))
        for number in range(2, quantity + 1):
            phases.append(Phase(f"load part {number}", load, rule("spread_hands"), who, False))
            phases.append(Phase(f"run part {number}", run, cycle.cut_spread, (), False))
        return tuple(phases)
    each_s = cycle.run_s + cycle.hands_s
    key = "time.others_and_edges" if changes_s else "time.others"
    why = because(key, count=float(others), each_s=each_s, changes_s=changes_s)
    rest = Figure(others * each_s + changes_s, "s", (why,))
    phases.append(Phase("the other parts", rest, cycle.cut_spread, who, True, hand_over=True))
    return tuple(phases)


def first_part(cycle: Cycle, who: tuple[str, ...], prove_out: float, changes_s: float) -> Phase:
    """The first part: run slowly and looked at, always with somebody there."""
    first_s = cycle.run_s * prove_out + cycle.hands_s + changes_s
    key = "time.first_part" if prove_out > 1.0 else "time.first_alike"
    why = because(key, cut_s=cycle.cut_s, travel_s=cycle.travel_s, hands_s=cycle.hands_s, factor=prove_out)
    figure = Figure(first_s, "s", (why,))
    return Phase("first part", figure, rule("spread_first"), who, first_s > PAUSED_FROM_S, hand_over=False)


def hand_phase(
    name: str, duration_s: float, *, who: tuple[str, ...], key: str, count: float = 1.0, spread: float | None = None
) -> Phase:
    """A stretch of hand work that may be put down and taken up by somebody else.

    Args:
        name: as on the job sheet.
        duration_s: all of it.
        who: ids of those who can do it.
        key: of the reason; its sentence gets each_s and count.
        count: of what it is the sum.
        spread: sd of the logarithm; None: that of hand work.
    Returns: the phase.
    """
    figure = Figure(duration_s, "s", (because(key, each_s=duration_s / max(count, 1.0), count=count),))
    return Phase(name, figure, rule("spread_hands") if spread is None else spread, who, True, hand_over=True)
