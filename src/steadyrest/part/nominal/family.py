"""Sizes of one feature that hang together on a diameter: a groove's floor and width, a keyway's width and depth.

What sits there is one thing: nothing in particular, or one of a few standard parts that fit this diameter. Each speaks
for all sizes that it brings at once, so that two that agree raise each other's odds, and one that disagrees is shared
out to "nothing in particular", whose odds are never zero: one size cannot outvote the rest.
Shapes: s habits of what is across, t habits of the lengths, p candidates of the diameter that are worth a look, c of
the size, z standard parts that bring sizes within reach, a error states. What does not tell s from t has 1 there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from steadyrest.part.nominal.choice import Choices
from steadyrest.part.nominal.habits import FloatArray
from steadyrest.part.nominal.unknowns import Unknown

IntArray = npt.NDArray[np.int64]
WORTH_A_LOOK = 1e-9  # of the likeliest candidate of a diameter; far below what any family could make up for


@dataclass(frozen=True, slots=True)
class Family:
    """Sizes of one feature with what they say together.

    rows: their indices, n of them. none: (p,) prior odds that nothing in particular sits there; share: (z, p) of each
        standard part.
    plain: n arrays (s, 1, 1, a) or (1, t, 1, a), each size's evidence if nothing standard brings it.
    tied: n rows of z arrays, evidence given the part: (1, 1, p, a), or the size's plain one where the part says nothing
        of it. partner: n rows of z arrays (p, c) or None. message: (s or 1, t or 1, p, a) to the diameter.
    """

    rows: tuple[int, ...]
    none: FloatArray
    share: FloatArray
    plain: tuple[FloatArray, ...]
    tied: tuple[tuple[FloatArray, ...], ...]
    partner: tuple[tuple[FloatArray | None, ...], ...]
    message: FloatArray

    def odds(
        self, alone: FloatArray, choices: Sequence[Choices], seen: Sequence[FloatArray]
    ) -> Iterator[tuple[int, FloatArray]]:
        """Odds of each size's candidates.

        Args:
            alone: (s, t, p, a) joint odds of all else.
            choices: of all sizes of the part. seen: their likelihoods (c, a).
        Returns: index of the size and (c,) odds.
        """
        for i, k in enumerate(self.rows):
            other_habit = 1 if self.plain[i].shape[0] > 1 else 0
            habit = np.einsum("stpa,p->sta", alone, self.none) * product(self.plain, but=i)[:, :, 0, :]
            found = np.zeros(choices[k].weight.shape[1])
            for z in range(len(self.share)):
                rest = product([tied[z] for tied in self.tied], but=i)
                here = alone * self.share[z][:, None] * rest
                partner = self.partner[i][z]
                if partner is None:
                    habit = habit + here.sum(axis=2)
                else:
                    found += (partner * (here.sum(axis=(0, 1)) @ seen[k].T)).sum(axis=0)
            yield k, found + (choices[k].weight * (habit.sum(axis=other_habit) @ seen[k].T)).sum(axis=0)


def live(choice: Choices, seen: FloatArray) -> IntArray:
    """Which candidates of a diameter are worth a look.

    Args:
        choice: its candidates. seen: (c, a) their likelihoods.
    Returns: (p,) indices, rising.
    """
    score = choice.weight.max(axis=0) * seen.max(axis=1)
    return np.flatnonzero(score >= WORTH_A_LOOK * score.max())


def families_of(
    rows: Sequence[Unknown],
    choices: Sequence[Choices],
    plain: Sequence[FloatArray],
    seen: Sequence[FloatArray],
    among: Sequence[int],
) -> dict[int, tuple[Family, ...]]:
    """What hangs on each diameter.

    Args:
        rows: n sizes. choices: their candidates. plain: (s, a) evidence of each by habit alone.
        seen: (c, a) likelihoods of each. among: indices of those that are asked about.
    Returns: index of the diameter to its families, over its live candidates; diameters that nothing hangs on are left
        out.
    """
    groups: dict[tuple[int, str], list[int]] = {}
    for k in among:
        row = rows[k]
        if row.parent is not None and choices[k].share.any():
            groups.setdefault((row.parent, row.feature), []).append(k)
    found: dict[int, list[Family]] = {}
    for (parent, _), members in groups.items():
        at = live(choices[parent], seen[parent])
        if not choices[members[0]].share[:, at].any():
            continue  # nothing standard sits on what the diameter may be: each size stands for itself
        found.setdefault(parent, []).append(family(members, at, rows, choices, plain, seen))
    return {parent: tuple(families) for parent, families in found.items()}


def family(
    members: Sequence[int],
    at: IntArray,
    rows: Sequence[Unknown],
    choices: Sequence[Choices],
    plain: Sequence[FloatArray],
    seen: Sequence[FloatArray],
) -> Family:
    """The sizes of one feature, whose choices name the same standard parts in the same order. at: live candidates."""
    every = choices[members[0]].share[:, at]
    cut = [tuple(None if one is None else one[at] for one in choices[k].partner) for k in members]
    # A part that brings nothing within reach of what was seen only takes its share away.
    reached = [z for z in range(len(every)) if every[z].any() and all(one[z] is None or np.any(one[z]) for one in cut)]
    partner = tuple(tuple(one[z] for z in reached) for one in cut)
    share = every[reached]
    own = tuple(plain[k][None, :, None, :] if rows[k].along else plain[k][:, None, None, :] for k in members)
    tied = tuple(
        tuple(own[i] if one is None else (one @ seen[k])[None, None, :, :] for one in partner[i])
        for i, k in enumerate(members)
    )
    none = 1 - every.sum(axis=0)
    message = none[:, None] * product(own)
    for z in range(len(reached)):
        message = message + share[z][:, None] * product([one[z] for one in tied])
    return Family(tuple(members), none, share, own, tied, partner, message)


def product(arrays: Sequence[FloatArray], but: int | None = None) -> FloatArray:
    """Product of arrays that broadcast, one of them left out; 1 of none."""
    found = np.ones((1,) * arrays[0].ndim)
    for i, array in enumerate(arrays):
        if i != but:
            found = found * array
    return found
