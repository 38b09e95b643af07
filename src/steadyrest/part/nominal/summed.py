"""The sums over all sizes of a part, kept in pieces, so that one size can be supposed otherwise at little cost.

Given the habits and the shared errors the pieces know nothing of each other: what all of them say is the product of
what each says. A reading by hand changes one piece; only that one is summed again. Shapes: s habits of what is across,
t of the lengths, a states of the shared errors, c candidates, p those of a diameter that are worth a look.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from steadyrest.part.nominal.alike import Alike, alike, runs
from steadyrest.part.nominal.choice import Choices
from steadyrest.part.nominal.errors import Errors
from steadyrest.part.nominal.family import Family, families_of, live
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.likelihood import likelihood
from steadyrest.part.nominal.unknowns import Unknown

TINY = 1e-300


@dataclass(frozen=True, slots=True)
class Piece:
    """Sizes that hang together, and with no others: one size, a diameter with its families, or a row of like sizes.

    rows: their indices; of a diameter with families, the diameter first. log_total: (s or 1, t or 1, a) log evidence.
    families, alike: what they are; neither for a single size.
    """

    rows: tuple[int, ...]
    log_total: FloatArray
    families: tuple[Family, ...] = ()
    alike: Alike | None = None


@dataclass(frozen=True, slots=True)
class Summed:
    """All sizes of a part, summed.

    rows, choices: n of them. seen: n arrays (c, a), likelihoods. plain: n arrays (s, a), evidence of each alone.
    log_joint: (s, t, a), of all pieces together, not normalised.
    """

    rows: tuple[Unknown, ...]
    choices: tuple[Choices, ...]
    errors: Errors
    seen: tuple[FloatArray, ...]
    plain: tuple[FloatArray, ...]
    pieces: tuple[Piece, ...]
    log_joint: FloatArray

    def joint(self) -> tuple[FloatArray, float]:
        """(s, t, a) odds of the habits and the shared errors, and the log evidence of all."""
        top = float(self.log_joint.max())
        joint = np.exp(self.log_joint - top)
        total = float(joint.sum())
        return joint / total, top + float(np.log(total))

    def odds(self, wanted: Collection[int]) -> dict[int, FloatArray]:
        """Odds of the candidates of some sizes.

        Args:
            wanted: their indices.
        Returns: for each, (c,) odds; those that hang together with a wanted one may stand beside it.
        """
        joint, _ = self.joint()
        each = (joint.sum(axis=1), joint.sum(axis=0))
        found: dict[int, FloatArray] = {}
        for piece in self.pieces:
            if any(k in wanted for k in piece.rows):
                found.update(self.odds_in(piece, joint, each, wanted))
        return found

    def odds_in(
        self, piece: Piece, joint: FloatArray, each: tuple[FloatArray, FloatArray], wanted: Collection[int]
    ) -> Iterator[tuple[int, FloatArray]]:
        """Odds of the sizes of one piece; each: joint summed over the lengths' habit, and over the other."""
        k = piece.rows[0]
        own = each[self.rows[k].along]
        if piece.alike is not None:
            yield from piece.alike.odds(own, self.choices, self.seen)
        elif piece.families:
            yield from self.odds_below(piece, joint, wanted)
        else:
            per_total = own / np.maximum(self.plain[k], TINY)
            yield k, (self.choices[k].weight * (per_total @ self.seen[k].T)).sum(axis=0)

    def odds_below(self, piece: Piece, joint: FloatArray, wanted: Collection[int]) -> Iterator[tuple[int, FloatArray]]:
        """Odds of a diameter and of what is wanted of that which hangs on it."""
        k = piece.rows[0]
        at = live(self.choices[k], self.seen[k])
        joint = joint if piece.log_total.shape[1] > 1 else joint.sum(axis=1, keepdims=True)
        body = with_families(self.choices[k], self.seen[k], piece.families)
        body = body * (joint / np.maximum(np.exp(piece.log_total), TINY))[:, :, None, :]
        odds = np.zeros(self.choices[k].weight.shape[1])
        odds[at] = body.sum(axis=(0, 1, 3))
        yield k, odds
        for family in piece.families:
            if not any(j in wanted for j in family.rows):
                continue
            yield from family.odds(body / np.maximum(family.message, TINY), self.choices, self.seen)

    def with_reading(self, k: int, reading_mm: float, u_mm: float) -> Summed:
        """The same, had one size been read by hand.

        Args:
            k: its index. reading_mm, u_mm: what the gauge said, and its sigma.
        Returns: new sums; of the pieces only the one that holds this size is summed again.
        """
        row = replace(self.rows[k], reading=(reading_mm, u_mm))
        like = likelihood(row, self.choices[k], self.errors)
        new = replace(
            self,
            rows=(*self.rows[:k], row, *self.rows[k + 1 :]),
            seen=(*self.seen[:k], like, *self.seen[k + 1 :]),
            plain=(*self.plain[:k], self.choices[k].weight @ like, *self.plain[k + 1 :]),
        )
        at = next(i for i, piece in enumerate(self.pieces) if k in piece.rows)
        again = tuple(pieces_of(new, self.pieces[at].rows))
        log_joint = self.log_joint - self.pieces[at].log_total
        for piece in again:
            log_joint = log_joint + piece.log_total
        return replace(new, pieces=(*self.pieces[:at], *again, *self.pieces[at + 1 :]), log_joint=log_joint)


def summed(rows: Sequence[Unknown], choices: Sequence[Choices], errors: Errors) -> Summed:
    """All sizes summed.

    Args:
        rows: n sizes; a parent stands before its children. choices: n, candidates of each. errors: the shared errors.
    Returns: the sums.
    """
    seen = tuple(likelihood(row, choice, errors) for row, choice in zip(rows, choices, strict=True))
    plain = tuple(choice.weight @ like for choice, like in zip(choices, seen, strict=True))
    log_joint = np.log(np.maximum(habits().together, TINY))[:, :, None] + errors.log_odds
    bare = Summed(tuple(rows), tuple(choices), errors, seen, plain, (), log_joint)
    pieces = tuple(pieces_of(bare, range(len(rows))))
    for piece in pieces:
        log_joint = log_joint + piece.log_total
    return replace(bare, pieces=pieces, log_joint=log_joint)


def pieces_of(sums: Summed, among: Sequence[int]) -> Iterator[Piece]:
    """How some sizes fall apart, which hang together with no others."""
    families = families_of(sums.rows, sums.choices, sums.plain, sums.seen, among)
    told = {k for below in families.values() for family in below for k in family.rows}
    for k, below in families.items():
        body = with_families(sums.choices[k], sums.seen[k], below).sum(axis=2)
        rows = (k, *(j for family in below for j in family.rows))
        yield Piece(rows, np.log(np.maximum(body, TINY)), families=below)
    loose = [k for k in among if k not in families and k not in told]
    # A model's sizes are what they are: that many are alike tells nothing new of any of them.
    for run in runs(sums.rows, loose if len(sums.errors.film_mm) > 1 else ()):
        one = alike(run, sums.rows, sums.choices, sums.errors, sums.plain)
        told.update(run)
        yield Piece(run, spread_out(one.log_total, along=sums.rows[run[0]].along), alike=one)
    for k in loose:
        if k not in told:
            log_plain = np.log(np.maximum(sums.plain[k], TINY))
            yield Piece((k,), spread_out(log_plain, along=sums.rows[k].along))


def spread_out(evidence: FloatArray, *, along: bool) -> FloatArray:
    """(s, a) of one size as (s, 1, a), or of a length as (1, t, a)."""
    return evidence[None, :, :] if along else evidence[:, None, :]


def with_families(choice: Choices, seen: FloatArray, families: Sequence[Family]) -> FloatArray:
    """(s, t or 1, p, a) evidence of each live candidate of a diameter together with what hangs on it."""
    at = live(choice, seen)
    body = choice.weight[:, None, at, None] * seen[at, :]
    for family in families:
        body = body * family.message
    return body
