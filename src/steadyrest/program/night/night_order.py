"""In which order runs go through a night, when a run that stops holds its machine until somebody comes.

One machine: the expected value is the sum over runs of V times the chances of all runs up to it; it is largest in the
order of V p / (1 - p), largest first (exchange two neighbours: V1 p1 + V2 p1 p2 against V2 p2 + V1 p1 p2). Where not
all runs fit the night, and over several machines, small cases are searched whole and larger ones improved step by step.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

# Whole search up to this many ways; beyond it, the index and single moves.
MOST_WAYS = 50_000
ROUNDS = 100


@dataclass(frozen=True, slots=True)
class NightRun:
    """A run that may be left alone.

    name: of the program. value: what it is worth when it is done by morning. runs_s: how long. odds: by machine, the
    chance that it ends without a stop; a machine that is not here cannot take it.
    """

    name: str
    value: float
    runs_s: float
    odds: tuple[tuple[str, float], ...]

    def chance(self, machine: str) -> float | None:
        return dict(self.odds).get(machine)


@dataclass(frozen=True, slots=True)
class NightPlan:
    """Which runs on which machine, in order. value: expected by morning. exact: no better plan exists."""

    order: tuple[tuple[str, tuple[str, ...]], ...]
    value: float
    exact: bool


def index(value: float, odds: float) -> float:
    """V p / (1 - p): what comes first on one machine has more of it; a run that never stops goes before all."""
    return math.inf if odds >= 1 else value * odds / (1 - odds)


def expected_value(runs: Sequence[NightRun], machine: str, *, night_s: float) -> float:
    """Expected value of runs on one machine in this order; one that would end after the night is worth nothing by then.

    Args:
        runs: in order, each with odds on this machine.
        machine: its id.
        night_s: until somebody comes.
    Returns: the expected value.
    """
    total, alive, clock_s = 0.0, 1.0, 0.0
    for run in runs:
        chance = run.chance(machine)
        clock_s += run.runs_s
        if chance is None or clock_s > night_s:
            return total
        alive *= chance
        total += run.value * alive
    return total


def one_machine(runs: Sequence[NightRun], machine: str, *, night_s: float = math.inf) -> tuple[NightRun, ...]:
    """The order of runs on one machine, those left out that do not fit: by index, then dynamic over what fits.

    Args:
        runs: any of them may be left out.
        machine: its id.
        night_s: until somebody comes.
    Returns: the order; by the index among those chosen, which is best for any chosen set.
    Source: for a chosen set that fits, the exchange argument above; which set, by branch and bound in
        the order of the index.
    """
    able = sorted(
        (run for run in runs if run.chance(machine) is not None),
        key=lambda run: (-index(run.value, run.chance(machine) or 0.0), run.name),
    )
    best: tuple[float, tuple[NightRun, ...]] = (0.0, ())
    # In the order of the index no run is worth leaving out but for its time (what follows a run is worth at most that
    # run's index), so the value of all that follow bounds the value of any of them.
    stack: list[tuple[int, float, float, float, tuple[NightRun, ...]]] = [(0, 1.0, 0.0, 0.0, ())]
    rest = [expected_value(able[k:], machine, night_s=math.inf) for k in range(len(able) + 1)]
    while stack:
        at, alive, clock_s, value, chosen = stack.pop()
        if value > best[0] + 1e-12:
            best = (value, chosen)
        if at == len(able) or value + alive * rest[at] <= best[0] + 1e-12:
            continue
        run = able[at]
        chance = run.chance(machine) or 0.0
        stack.append((at + 1, alive, clock_s, value, chosen))
        if clock_s + run.runs_s <= night_s:
            stack.append(
                (at + 1, alive * chance, clock_s + run.runs_s, value + alive * chance * run.value, (*chosen, run))
            )
    return best[1]


def night_plan(runs: Sequence[NightRun], machines: Sequence[str], *, night_s: float) -> NightPlan:
    """Runs shared out over machines and put in order, for the largest expected value by morning.

    Args:
        runs: any of them may be left out.
        machines: their ids.
        night_s: until somebody comes.
    Returns: the plan; exact where the ways of sharing out are few enough to try them all.
    """
    ways = math.prod(1 + sum(run.chance(machine) is not None for machine in machines) for run in runs)
    options = [("", *(machine for machine in machines if run.chance(machine) is not None)) for run in runs]
    if ways <= MOST_WAYS:
        shared = max(every(options), key=lambda way: worth(runs, way, machines, night_s))
    else:
        shared = improved(runs, options, machines, night_s)
    order = tuple(
        (machine, tuple(run.name for run in one_machine(given(runs, shared, machine), machine, night_s=night_s)))
        for machine in machines
    )
    return NightPlan(order, worth(runs, shared, machines, night_s), ways <= MOST_WAYS)


def every(options: Sequence[tuple[str, ...]]) -> Iterator[tuple[str, ...]]:
    """Every way of sharing out."""
    if not options:
        yield ()
        return
    for first in options[0]:
        for rest in every(options[1:]):
            yield (first, *rest)


def given(runs: Sequence[NightRun], shared: Sequence[str], machine: str) -> list[NightRun]:
    return [run for run, where in zip(runs, shared, strict=True) if where == machine]


def worth(runs: Sequence[NightRun], shared: Sequence[str], machines: Sequence[str], night_s: float) -> float:
    """Expected value of a way of sharing out, each machine in its best order."""
    return sum(
        expected_value(one_machine(given(runs, shared, machine), machine, night_s=night_s), machine, night_s=night_s)
        for machine in machines
    )


def improved(
    runs: Sequence[NightRun], options: Sequence[tuple[str, ...]], machines: Sequence[str], night_s: float
) -> tuple[str, ...]:
    """A good way of sharing out: each run where it adds most, the best index first; then single moves and exchanges."""
    shared = [""] * len(runs)
    order = sorted(
        range(len(runs)),
        key=lambda k: -max((index(runs[k].value, chance) for _, chance in runs[k].odds), default=0.0),
    )
    for k in order:
        shared[k] = max(options[k], key=lambda where, k=k: _tried(runs, shared, machines, night_s, ((k, where),)))
    value = worth(runs, shared, machines, night_s)
    for _ in range(ROUNDS):
        single = [((k, where),) for k in range(len(runs)) for where in options[k] if where != shared[k]]
        pairs = [
            ((a, shared[b]), (b, shared[a]))
            for a in range(len(runs))
            for b in range(a)
            if shared[a] != shared[b] and shared[b] in options[a] and shared[a] in options[b]
        ]
        best = max((*single, *pairs), key=lambda moves: _tried(runs, shared, machines, night_s, moves), default=())
        reached = _tried(runs, shared, machines, night_s, best)
        if reached <= value + 1e-12:
            break
        value = reached
        for k, where in best:
            shared[k] = where
    return tuple(shared)


def _tried(
    runs: Sequence[NightRun],
    shared: Sequence[str],
    machines: Sequence[str],
    night_s: float,
    moves: tuple[tuple[int, str], ...],
) -> float:
    changed = list(shared)
    for k, where in moves:
        changed[k] = where
    return worth(runs, changed, machines, night_s)
