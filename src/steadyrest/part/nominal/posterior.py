"""The joint posterior of all sizes: summed exactly, no sampling.

What the sizes of a part share: the drawing's habit S for what is across (diameters, widths), its habit T for the
lengths, which is often the same (habits.py), and the errors A of the scan (film, scale) and of the work (how closely it
was made), each on a small grid (errors.py). Given S, T and A the sizes fall apart into pieces that know nothing of each
other (summed.py): single sizes; a diameter with what hangs on it, such as a key's width and depth or a seat's length,
which one standard part brings together (family.py); like sizes that may be one size drawn several times (alike.py). The
posterior is a sum over S, T and A of the product of the pieces. Shapes: s habits, t habits of the lengths, a error
states, c candidates; the last candidate of each size is always "no standard size" (free).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.part.nominal.choice import Choices
from steadyrest.part.nominal.errors import Errors
from steadyrest.part.nominal.habits import FloatArray
from steadyrest.part.nominal.summed import Summed, summed
from steadyrest.part.nominal.unknowns import Unknown


@dataclass(frozen=True, slots=True)
class Posterior:
    """What all sizes together say.

    odds: for each size, (c,) over its candidates. system, lengths: (s,) odds of the habit of what is across, and of the
    lengths. errors: (a,) odds of the shared errors. film_mm, scale: means. log_evidence: of all.
    """

    odds: tuple[FloatArray, ...]
    system: FloatArray
    lengths: FloatArray
    errors: FloatArray
    film_mm: float
    scale: float
    log_evidence: float


def posterior(rows: Sequence[Unknown], choices: Sequence[Choices], errors: Errors) -> Posterior:
    """Odds of every candidate of every size, jointly.

    Args:
        rows: n sizes; a parent stands before its children.
        choices: n, candidates of each.
        errors: the shared errors.
    Returns: the posterior.
    """
    return posterior_of(summed(rows, choices, errors))


def posterior_of(sums: Summed) -> Posterior:
    """What the sums say of every size.

    Args:
        sums: of all sizes.
    Returns: the posterior.
    """
    joint, log_evidence = sums.joint()
    odds = sums.odds(range(len(sums.rows)))
    by_error = joint.sum(axis=(0, 1))
    return Posterior(
        odds=tuple(odds[k] for k in range(len(sums.rows))),
        system=joint.sum(axis=(1, 2)),
        lengths=joint.sum(axis=(0, 2)),
        errors=by_error,
        film_mm=float(by_error @ sums.errors.film_mm),
        scale=float(by_error @ sums.errors.scale),
        log_evidence=log_evidence,
    )
