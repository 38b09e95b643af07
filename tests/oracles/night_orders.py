"""Every order of every choice of runs, and what it is worth: the slow twin of program/night/night_order.py."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations, product


def orders(count: int) -> Iterator[tuple[int, ...]]:
    for length in range(count + 1):
        yield from permutations(range(count), length)


def worth(order: Sequence[int], value: Sequence[float], odds: Sequence[float], runs_s: Sequence[float], night_s: float):
    """Value of what ends well by morning: the chance that all before it, and it, end well."""
    total = 0.0
    for place in range(len(order)):
        chance = 1.0
        for before in order[: place + 1]:
            chance *= odds[before]
        if sum(runs_s[before] for before in order[: place + 1]) <= night_s:
            total += value[order[place]] * chance
    return total


def best(value: Sequence[float], odds: Sequence[float], runs_s: Sequence[float], night_s: float) -> float:
    return max(worth(order, value, odds, runs_s, night_s) for order in orders(len(value)))


def best_shared(
    value: Sequence[float], odds: Sequence[Sequence[float | None]], runs_s: Sequence[float], night_s: float
) -> float:
    """The best sharing out over machines. odds: by run, by machine; None where it cannot run."""
    machines = len(odds[0]) if odds else 0
    reached = 0.0
    for way in product(range(-1, machines), repeat=len(value)):
        if any(where >= 0 and odds[run][where] is None for run, where in enumerate(way)):
            continue
        total = 0.0
        for machine in range(machines):
            mine = [run for run, where in enumerate(way) if where == machine]
            total += best(
                [value[run] for run in mine], [odds[run][machine] or 0.0 for run in mine],
                [runs_s[run] for run in mine], night_s,
            )  # fmt: skip
        reached = max(reached, total)
    return reached
