"""The fewest clampings from which everything can be reached: a minimum cover, exact for so few candidates."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

MOST_CANDIDATES = 12


def covers(needs: Sequence[int], costs: Sequence[float]) -> tuple[tuple[int, ...], ...]:
    """Every smallest choice of candidates that meets all needs, the least cost first.

    Args:
        needs: for each need, the candidates that meet it, as bits; no need of 0.
        costs: of each candidate; at most twelve.
    Returns: choices of one size (no candidate could be left out of any), then those of one more, by cost, then by
        number; empty where a need has no candidate.
    Raises: ValueError: more candidates than twelve.
    """
    if len(costs) > MOST_CANDIDATES:
        raise ValueError(f"covers: {len(costs)} candidates, at most {MOST_CANDIDATES}")
    asked = sorted(set(needs), key=lambda need: (need.bit_count(), need))
    if any(need == 0 for need in asked):
        return ()
    # A need that holds all of another's candidates is met with it.
    least = [need for i, need in enumerate(asked) if not any(other & need == other for other in asked[:i])]
    for size in range(len(costs) + 1):
        found = [choice for choice in combinations(range(len(costs)), size) if _meets(choice, least)]
        if found:
            more = [c for c in combinations(range(len(costs)), size + 1) if _meets(c, least)] if size else []
            return tuple(
                sorted(found, key=lambda choice: (_cost(choice, costs), choice))
                + sorted(more, key=lambda choice: (_cost(choice, costs), choice))
            )
    return ()


def _meets(choice: tuple[int, ...], needs: Sequence[int]) -> bool:
    chosen = 0
    for candidate in choice:
        chosen |= 1 << candidate
    return all(need & chosen for need in needs)


def _cost(choice: tuple[int, ...], costs: Sequence[float]) -> float:
    return sum(costs[candidate] for candidate in choice)
