"""Candidates of every size: what a drawing might have shown near what was observed, with prior weights.

From the drawing's habit (round millimetres, fractions of an inch, preferred numbers), from standard parts on their own
(bearing bores, stock sizes, threads), and from standard parts tied to a shaft (its key, its ring, its bearing's width).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import nan

import numpy as np

from steadyrest.part.nominal import partners
from steadyrest.part.nominal.belonging import Belonging, belongings
from steadyrest.part.nominal.choice import AS_MEASURED, Choices, Fit
from steadyrest.part.nominal.habits import FloatArray, System, grid_weights, habits, list_weights
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.tables.fits import LARGEST_MM, it_grade_um

REACH_SD = 5.0
REACH_MM = 0.35

# A candidate by size, source and unit: its weights under each habit, and the candidate itself.
Found = dict[tuple[float, str, str], tuple[FloatArray, Fit]]


def candidates(rows: Sequence[Unknown], *, reach_mm: float | None) -> tuple[Choices, ...]:
    """Candidates of all sizes, those that hang on a shaft given each candidate of the shaft.

    Args:
        rows: the sizes, parents first.
        reach_mm: how far to look about each size of a model; None for a scan, where it follows from the noise.
    Returns: one Choices for each.
    """
    made: list[Choices] = []
    known: dict[tuple[Unknown, int | None], Choices] = {}
    for row in rows:
        parent = made[row.parent] if row.parent is not None else None
        # A plate has hundreds of equal holes: each is asked for once.
        alike = (nameless(row), None if parent is None else id(parent))
        if alike not in known:
            known[alike] = choices(row, parent, reach_mm=reach_mm)
        made.append(known[alike])
    return tuple(made)


def nameless(row: Unknown) -> Unknown:
    """A size without what tells it from another of the same kind and value."""
    members = (("", ""),) * min(len(row.members), 2)
    return replace(row, feature="", members=members, parent=None, observed_mm=round(row.observed_mm, 9))


def choices(row: Unknown, parent: Choices | None, *, reach_mm: float | None) -> Choices:
    """Candidates of one size."""
    low, high = reach(row, reach_mm=reach_mm)
    found = by_habit(row, low, high)
    left = np.ones(len(habits().systems))  # of sizes that no standard part brings, also of those that follow no rule
    for source, fits in partners.alone(row).items():
        share = partners.alone_share(row, source)
        left = left * (1 - share)
        found = {key: (weight * (1 - share), fit) for key, (weight, fit) in found.items()}
        by_value = {fit.value_mm: fit for fit in fits}
        rooms = partners.rooms(row, source, fits, low_mm=low, high_mm=high)
        for value, room in rooms.items():
            if value not in by_value:
                continue
            fit = by_value[value]
            found[key_of(fit)] = (share * room, fit)
    sitting = tuple(belongings(row, fit) for fit in parent.fits) if parent is not None else ()
    for one in (one for ones in sitting for one in ones):
        for fit, _ in one.spread(row.role) or ():
            if low <= fit.value_mm <= high:
                found.setdefault(key_of(fit), (np.zeros(len(habits().systems)), fit))
    return gathered(row, found, left, sitting, reach_mm=reach_mm)


def key_of(fit: Fit) -> tuple[float, str, str]:
    """What tells one candidate from another."""
    return (fit.value_mm, fit.source, fit.unit)


def reach(row: Unknown, *, reach_mm: float | None) -> tuple[float, float]:
    """From where to where candidates are worth trying, mm."""
    if reach_mm is not None:
        return row.observed_mm - reach_mm, row.observed_mm + reach_mm
    scan = habits().scan
    sd = float(np.hypot(np.hypot(row.u_mm, scan["film_mm"]), scan["scale"] * row.observed_mm))
    half = REACH_MM + REACH_SD * sd
    tail = 4 * row.worn_mm if row.worn else 0.0
    low, high = row.observed_mm - half, row.observed_mm + half
    if row.reading is not None:
        low, high = min(low, row.reading[0] - REACH_MM), max(high, row.reading[0] + REACH_MM)
    if row.below is not None:
        low, high = min(low, row.below[0] - half), max(high, row.below[0] + half)
    return (low - tail if row.worn < 0 else low), (high + tail if row.worn > 0 else high)


def by_habit(row: Unknown, low: float, high: float) -> Found:
    """What each drawing habit would choose between two bounds, by (size, unit)."""
    systems = habits().systems
    pure = {system.name: (system, habit_weights(system, row, low, high)) for system in systems if system.steps}
    found: Found = {}
    over_mm = bored_over_mm(row)
    for k, system in enumerate(systems):
        for name, share in blend(system):
            source, weights = pure[name]
            for value, weight in weights.items():
                fit = Fit(value, "", source.unit, over_mm)
                found.setdefault(key_of(fit), (np.zeros(len(systems)), fit))[0][k] += share * weight
    if row.along:
        mixed = next(k for k, system in enumerate(systems) if system.halves)
        ruled = np.array([bool(system.steps) for system in systems])
        share = habits().own_way * ruled
        bound = 1 - np.maximum(habits().free_length - free_shares(), 0.0) / np.maximum(1 - free_shares(), 1e-9)
        return {
            key: (bound * ((1 - share) * weight + share * weight[mixed]), fit) for key, (weight, fit) in found.items()
        }
    return found


def bored_over_mm(row: Unknown) -> float:
    """How far over its nominal a bore is usually made: the middle of H7; 0 for anything else.

    Source: the hole basis, on which bores are drawn and gauged (ISO 286-1); which grade: common practice, no source.
    """
    if row.role != "diameter" or row.kind != "bore" or not 0 < row.observed_mm <= LARGEST_MM:
        return 0.0
    return it_grade_um(row.observed_mm, 7) / 2000


def free_shares() -> FloatArray:
    """(s,) share of sizes that follow no rule under each habit."""
    return np.array([system.free for system in habits().systems])


def blend(system: System) -> tuple[tuple[str, float], ...]:
    """Which pure habits a habit is made of, with shares; what is left is free."""
    if system.halves:
        return tuple((name, (1 - system.free) / len(system.halves)) for name in system.halves)
    if not system.steps:
        return ()
    own = 1 - system.free - sum(share for _, share in system.strays)
    return ((system.name, own), *system.strays)


def habit_weights(system: System, row: Unknown, low: float, high: float) -> dict[float, float]:
    """Weights per mm of one pure habit between two bounds."""
    weights = grid_weights(system, low_mm=low, high_mm=high, size_mm=row.observed_mm)
    if not system.preferred:
        return weights
    weights = {value: weight * (1 - system.preferred) for value, weight in weights.items()}
    for value, room in list_weights(partners.preferred_sizes(), low_mm=low, high_mm=high).items():
        weights[value] = weights.get(value, 0.0) + system.preferred * room
    return weights


def gathered(
    row: Unknown, found: Found, left: FloatArray, sitting: tuple[tuple[Belonging, ...], ...], *, reach_mm: float | None
) -> Choices:
    """The candidates as arrays, the free one last. left: (s,) share of such sizes that no standard part brings."""
    keys = sorted(found)
    free = free_shares() * left
    free = np.maximum(free, habits().free_length) if row.along else free
    weight = np.column_stack([*(found[key][0] for key in keys), free])
    fits = [found[key][1] for key in keys]
    share, partner = tied(row, {key: c for c, key in enumerate(keys)}, sitting)
    return Choices(
        fits=(*fits, Fit(row.observed_mm, AS_MEASURED, "")),
        value_mm=np.array([*(fit.value_mm for fit in fits), row.observed_mm]),
        weight=weight,
        offset_mm=np.array([*(0.0 if reach_mm is not None else fit.offset_mm for fit in fits), 0.0]),
        made_mm=np.array([*(0.0 if reach_mm is not None else fit.made_mm for fit in fits), nan]),
        share=share,
        partner=partner,
    )


def tied(
    row: Unknown, at: dict[tuple[float, str, str], int], sitting: tuple[tuple[Belonging, ...], ...]
) -> tuple[FloatArray, tuple[FloatArray | None, ...]]:
    """What the standard parts that may sit on each candidate of the diameter say of this size.

    Args:
        row: the size. at: index of each of its candidates. sitting: for each candidate of the diameter, what may sit.
    Returns: (z, p) shares, and z arrays (p, c) of weights or None, as in Choices; nothing if no part brings this size.
    """
    names = tuple(dict.fromkeys(one.name for ones in sitting for one in ones))
    telling = {one.name for ones in sitting for one in ones if one.spread(row.role) is not None}
    if not telling:
        return np.zeros((0, 0)), ()
    share = np.zeros((len(names), len(sitting)))
    partner = {name: np.zeros((len(sitting), len(at) + 1)) for name in telling}
    for p, ones in enumerate(sitting):
        for one in ones:
            share[names.index(one.name), p] = one.share
            for fit, odds in one.spread(row.role) or ():
                c = at.get(key_of(fit))
                if c is not None:
                    partner[one.name][p, c] += odds * habits().standard["spread_mm"]
    return share, tuple(partner.get(name) for name in names)
