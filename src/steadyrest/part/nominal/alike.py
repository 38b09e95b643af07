"""Sizes that a drawing repeats: six holes drilled with one drill, four corners rounded to one radius.

A row of like sizes is one decision far more often than six, and without this an odd size that is drawn six times speaks
six times against the drawing's habit. Like sizes are put in order as they were seen; between any two neighbours the
drawing either goes on with the same size or goes over to another. Those of one size were made by one tool, and share
what it was off by. The sum runs over every way to part the row into blocks of one size each, forward and backward along
it. Shapes: n sizes, s habits, a error states, u candidates that all sizes of a block have, c candidates of one size.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import log, pi

import numpy as np
import numpy.typing as npt

from steadyrest.part.nominal.choice import Choices
from steadyrest.part.nominal.errors import Errors
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.likelihood import likelihood
from steadyrest.part.nominal.unknowns import Unknown

NEAR_MM, NEAR_SD, MOST_MM = 0.1, 3.0, 0.35
MOST_ROWS = 12  # of one row of like sizes; a longer one is parted where its sizes lie farthest from each other
REPEATED = ("bore", "slot", "boss", "fillet", "chamfer", "cone")
TINY = 1e-300


@dataclass(frozen=True, slots=True)
class Block:
    """Neighbours of one size. first, last: places in the row. at: for each, (u,) which of its candidates they share.

    weight: (s, u). seen: (u, a) likelihood of all of them, its largest in each state taken out; per: (s, a) its
    weighted sum. log: (s, a) evidence, with what it costs that each goes on with the size of the one before.
    """

    first: int
    last: int
    at: tuple[npt.NDArray[np.int64], ...]
    weight: FloatArray
    seen: FloatArray
    per: FloatArray
    log: FloatArray


@dataclass(frozen=True, slots=True)
class Alike:
    """A row of like sizes. rows: their indices in order of size.

    blocks: of two and more. alone: n arrays (s, a), log evidence of each by itself. before, after: (n + 1, s, a) log
    evidence of all before, or from, each place on. log_total: (s, a).
    """

    rows: tuple[int, ...]
    blocks: tuple[Block, ...]
    plain: tuple[FloatArray, ...]
    alone: tuple[FloatArray, ...]
    before: FloatArray
    after: FloatArray

    @property
    def log_total(self) -> FloatArray:
        return self.before[-1]

    def odds(
        self, joint: FloatArray, choices: Sequence[Choices], seen: Sequence[FloatArray]
    ) -> Iterator[tuple[int, FloatArray]]:
        """Odds of each size's candidates.

        Args:
            joint: (s, a) odds of the habit and the errors.
            choices: of all sizes of the part. seen: their likelihoods (c, a).
        Returns: index of the size and (c,) odds.
        """
        found = [np.zeros(choices[k].weight.shape[1]) for k in self.rows]
        for i, k in enumerate(self.rows):
            share = joint * np.exp(self.before[i] + self.alone[i] + self.after[i + 1] - self.log_total)
            found[i] += (choices[k].weight * (share / np.maximum(self.plain[i], TINY) @ seen[k].T)).sum(axis=0)
        for block in self.blocks:
            share = joint * np.exp(self.before[block.first] + block.log + self.after[block.last + 1] - self.log_total)
            odds = (block.weight * ((share / block.per) @ block.seen.T)).sum(axis=0)
            for i, at in zip(range(block.first, block.last + 1), block.at, strict=True):
                np.add.at(found[i], at, odds)
        for k, odds in zip(self.rows, found, strict=True):
            yield k, odds / odds.sum()


def runs(rows: Sequence[Unknown], loose: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Indices of like sizes seen close together, two or more, in order of size.

    Args:
        rows: all sizes. loose: indices of those that hang together with nothing else.
    """
    by_kind: dict[tuple[str, str, bool], list[int]] = {}
    for k in loose:
        row = rows[k]
        if row.kind in REPEATED and row.role != "length":
            by_kind.setdefault((row.kind, row.name, row.inside), []).append(k)
    for members in by_kind.values():
        run: list[int] = []
        for k in sorted(members, key=lambda k: rows[k].observed_mm):
            if run and rows[k].observed_mm - rows[run[-1]].observed_mm > reach(rows[run[-1]], rows[k]):
                yield from short_enough(run, rows)
                run = []
            run.append(k)
        yield from short_enough(run, rows)


def reach(a: Unknown, b: Unknown) -> float:
    """How far two of the same size may be seen apart, mm."""
    return min(MOST_MM, NEAR_MM + NEAR_SD * float(np.hypot(a.u_mm, b.u_mm)))


def short_enough(run: Sequence[int], rows: Sequence[Unknown]) -> Iterator[tuple[int, ...]]:
    """A run, parted at its widest gaps until it is short enough; nothing of a single size."""
    if len(run) <= MOST_ROWS:
        if len(run) > 1:
            yield tuple(run)
        return
    quarter = len(run) // 4
    gaps = [rows[run[i]].observed_mm - rows[run[i - 1]].observed_mm for i in range(quarter, len(run) - quarter)]
    cut = quarter + int(np.argmax(gaps))
    yield from short_enough(run[:cut], rows)
    yield from short_enough(run[cut:], rows)


def alike(
    run: tuple[int, ...],
    rows: Sequence[Unknown],
    choices: Sequence[Choices],
    errors: Errors,
    plain: Sequence[FloatArray],
) -> Alike:
    """A row of like sizes summed over every way to part it.

    Args:
        run: indices of n sizes in order.
        rows: all sizes.
        choices: their candidates.
        errors: the shared errors.
        plain: (s, a) evidence of each alone.
    Returns: what they say.
    """
    n = len(run)
    ends = [0.0 if i == n - 1 else log(1 - habits().repeats["share"]) for i in range(n)]
    alone = tuple(np.log(np.maximum(plain[k], TINY)) + end for k, end in zip(run, ends, strict=True))
    blocks = tuple(block for first in range(n) for block in blocks_from(first, run, rows, choices, errors, ends))
    parted = [(i, i, one) for i, one in enumerate(alone)] + [(one.first, one.last, one.log) for one in blocks]
    before, after = (np.full((n + 1, *alone[0].shape), -np.inf) for _ in range(2))
    before[0] = after[n] = 0.0
    for first, last, said in sorted(parted, key=lambda one: one[1]):
        before[last + 1] = np.logaddexp(before[last + 1], before[first] + said)
    for first, last, said in sorted(parted, key=lambda one: -one[0]):
        after[first] = np.logaddexp(after[first], after[last + 1] + said)
    return Alike(run, blocks, tuple(plain[k] for k in run), alone, before, after)


def blocks_from(
    first: int,
    run: tuple[int, ...],
    rows: Sequence[Unknown],
    choices: Sequence[Choices],
    errors: Errors,
    ends: Sequence[float],
) -> Iterator[Block]:
    """Blocks of two and more that begin at one place of a row; arguments as in `alike`, ends: cost of going over."""
    goes_on = log(habits().repeats["share"] * habits().repeats["spread_mm"])
    keys = {key_of(choices[run[first]], c): [c] for c in range(len(choices[run[first]].fits) - 1)}
    for last in range(first + 1, len(run)):
        members = run[first : last + 1]
        if rows[run[last]].observed_mm - rows[run[first]].observed_mm > reach(rows[run[first]], rows[run[last]]):
            return
        own = {key_of(choices[run[last]], c): c for c in range(len(choices[run[last]].fits) - 1)}
        keys = {key: [*at, own[key]] for key, at in keys.items() if key in own}
        at = np.array([*keys.values(), [len(choices[k].fits) - 1 for k in members]], dtype=np.int64).T
        one, apart = together([rows[k] for k in members], errors)
        with np.errstate(divide="ignore"):
            logs = np.log(np.maximum(likelihood(one, choices[run[first]], errors)[at[0]], TINY)) + apart
        weight = np.max([choices[k].weight[:, i] for i, k in zip(at, members, strict=True)], axis=0)
        top = logs.max(axis=0)
        likely = np.exp(logs - top)
        per = np.maximum(weight @ likely, TINY)
        evidence = top + np.log(per) + (last - first) * goes_on + ends[last]
        yield Block(first, last, tuple(at), weight, likely, per, evidence)


def key_of(choice: Choices, c: int) -> tuple[float, str, str]:
    """What tells one candidate from another."""
    fit = choice.fits[c]
    return (fit.value_mm, fit.source, fit.unit)


def together(rows: Sequence[Unknown], errors: Errors) -> tuple[Unknown, FloatArray]:
    """Sizes that are one, as one size seen several times.

    One drill, one setting made them: what that was off by, all have in common, and only their scatter is their own.

    Args:
        rows: n sizes. errors: the shared errors.
    Returns: the one size, and (a,) log density of how far they lie from each other.
    """
    seen = np.array([row.observed_mm for row in rows])
    scatter = (habits().repeats["scatter_share"] * errors.made_mm) ** 2
    var = np.array([row.u_mm**2 + errors.own_mm**2 + scatter for row in rows])
    mean = (seen[:, None] / var).sum(axis=0) / (1 / var).sum(axis=0)
    off = ((seen[:, None] - mean) ** 2 / var).sum(axis=0)
    apart = -0.5 * (off + np.log(2 * pi * var).sum(axis=0)) + 0.5 * np.log(2 * pi / (1 / var).sum(axis=0))
    share = np.array([row.u_mm**-2 for row in rows])
    observed, u_mm = float((share * seen).sum() / share.sum()), float(share.sum() ** -0.5)
    return replace(rows[0], observed_mm=observed, u_mm=u_mm, reading=by_hand(rows)), apart


def by_hand(rows: Sequence[Unknown]) -> tuple[float, float] | None:
    """What was read by hand of any of them, and its sigma; None where nobody did."""
    read = [row.reading for row in rows if row.reading is not None]
    if not read:
        return None
    share = np.array([u_mm**-2 for _, u_mm in read])
    return float((share * np.array([mm for mm, _ in read])).sum() / share.sum()), float(share.sum() ** -0.5)
