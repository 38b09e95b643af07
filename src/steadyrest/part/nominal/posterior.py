"""The joint posterior of all sizes: summed exactly, no sampling.

What the sizes of a part share: the drawing's habit S, and the errors A of the scan (film, scale) and of the work (how
closely it was made), each on a small grid. Given S and A the sizes are independent, except that some hang on a shaft's
or bore's diameter: a key's width and depth, a seat's length. Those of one feature hang on it together, since one
standard part brings them all. So it is a forest of depth one, and the posterior a sum over S and A, over each parent's
candidates, and over what may sit there; such families send their parent a message (family.py). Shapes: s habits, a
error states, c candidates; the last candidate of each size is always "no standard size" (free).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.part.nominal.choice import Choices
from steadyrest.part.nominal.family import Family, families_of, live
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.unknowns import Unknown

TINY = 1e-300
GRID_SD = 2.4
SCALE_POINTS = 7
FILM_POINTS = 11


@dataclass(frozen=True, slots=True)
class Errors:
    """The grid of shared errors. film_mm, scale, made_mm: (a,) one value a state; log_odds: (a,) prior.

    film_step_mm, scale_step: how far neighbouring states lie apart; what lies between is left to each size's own sigma.
    own_mm: what is left to each surface by itself.
    """

    film_mm: FloatArray
    scale: FloatArray
    made_mm: FloatArray
    log_odds: FloatArray
    film_step_mm: float
    scale_step: float
    own_mm: float


@dataclass(frozen=True, slots=True)
class Posterior:
    """What all sizes together say.

    odds: for each size, (c,) over its candidates. system: (s,) odds. errors: (a,) odds of the shared errors.
    film_mm, scale: means. log_evidence: of all.
    """

    odds: tuple[FloatArray, ...]
    system: FloatArray
    errors: FloatArray
    film_mm: float
    scale: float
    log_evidence: float


def scan_errors() -> Errors:
    """The error grid of a hand-held scan: film (spray makes it one-sided), scale, three habits of work."""
    scan, made = habits().scan, habits().made
    film_mm = np.linspace(-GRID_SD * scan["film_mm"], scan["spray_mm"], FILM_POINTS)
    bare = np.exp(-((film_mm / scan["film_mm"]) ** 2) / 2)
    sprayed = (film_mm >= 0).astype(np.float64)
    film_odds = (1 - scan["spray_share"]) * bare / bare.sum() + scan["spray_share"] * sprayed / sprayed.sum()
    steps = np.linspace(-GRID_SD, GRID_SD, SCALE_POINTS)
    scale_odds = np.exp(-(steps**2) / 2)
    scale_odds /= scale_odds.sum()
    film, scale, work = np.meshgrid(film_mm, steps * scan["scale"], np.arange(len(made)), indexing="ij")
    shares = np.array([share for _, share in made])
    odds = film_odds[:, None, None] * scale_odds[None, :, None] * shares[None, None, :]
    return Errors(
        film_mm=film.ravel(),
        scale=scale.ravel(),
        made_mm=np.array([sd for sd, _ in made])[work.ravel()],
        log_odds=np.log(odds).ravel(),
        film_step_mm=float(film_mm[1] - film_mm[0]),
        scale_step=float(steps[1] - steps[0]) * scan["scale"],
        own_mm=scan["own_mm"],
    )


def exact_errors(own_mm: float) -> Errors:
    """A model is exact: one state without error, and what rounding in the file leaves to each size."""
    zero = np.zeros(1)
    return Errors(zero, zero, zero, zero, film_step_mm=0.0, scale_step=0.0, own_mm=own_mm)


def film_sign(unknown: Unknown) -> float:
    """What film on the surfaces does to a size: +1 a shaft grows by it, -1 a bore or a width between walls shrinks.

    A length from face to face, or a depth from surface to floor, moves with it at both ends: 0.
    """
    if unknown.role in ("length", "other", "keyway depth"):
        return 0.0
    return -1.0 if unknown.inside or unknown.role == "groove width" else 1.0


def likelihood(unknown: Unknown, choices: Choices, errors: Errors) -> FloatArray:
    """How likely the observation is under each candidate and error state; 1 per mm for the free candidate.

    Args:
        unknown: the size, with its reading by hand if there is one.
        choices: (c,) candidates.
        errors: (a,) states.
    Returns: (c, a) density, 1/mm.
    """
    length = unknown.role in ("length", "other")
    sign = film_sign(unknown)
    between = (errors.film_step_mm * sign) ** 2 / 12 + (errors.scale_step * unknown.observed_mm) ** 2 / 12
    scan_var = unknown.u_mm**2 + errors.own_mm**2 + between
    made = errors.made_mm * (habits().length_times if length else 1.0)
    made_var = np.where(np.isnan(choices.made_mm)[:, None], made[None, :], choices.made_mm[:, None]) ** 2
    target = (choices.value_mm + choices.offset_mm)[:, None]
    if unknown.reading is None:
        seen = target * (1 + errors.scale[None, :]) + sign * errors.film_mm[None, :]
        found = density(unknown, unknown.observed_mm - seen, made_var + scan_var)
        found[-1, :] = 1.0
        return found
    # By hand: the reading stands beside the nominal, and the scan beside the reading, so that one reading also tells
    # film and scale for every other size.
    hand_mm, hand_u = unknown.reading
    found = density(unknown, hand_mm - target, made_var + hand_u**2)
    found[-1, :] = 1.0
    again = unknown.observed_mm - hand_mm * (1 + errors.scale) - sign * errors.film_mm
    return found * np.maximum(normal_density(again, scan_var + hand_u**2), 1e-3)[None, :]


def density(unknown: Unknown, off_mm: FloatArray, variance: FloatArray) -> FloatArray:
    """Density of being seen this far from where the nominal would be: even noise with wide tails, wear to one side.

    Args:
        unknown: which way wear goes, how likely, and its mean.
        off_mm: seen minus expected, any shape.
        variance: of noise and work, same shape, mm2.
    Returns: same shape, 1/mm. With wear, a share of it is a normal widened by an exponential tail to the worn side.
    """
    share, times = habits().worse
    plain = (1 - share) * normal_density(off_mm, variance) + share * normal_density(off_mm, variance * times**2)
    if unknown.worn == 0 or unknown.worn_share <= 0:
        return plain
    from scipy.special import log_ndtr  # late: the command's help must not wait for SciPy

    sd = np.sqrt(variance)
    lost = -unknown.worn * off_mm
    mean = unknown.worn_mm
    tail = np.exp(variance / (2 * mean**2) - lost / mean + log_ndtr(lost / sd - sd / mean)) / mean
    return (1 - unknown.worn_share) * plain + unknown.worn_share * tail


def normal_density(off_mm: FloatArray, variance: FloatArray | float) -> FloatArray:
    """Normal density at a distance from its mean."""
    return np.asarray(np.exp(-(off_mm**2) / (2 * variance)) / np.sqrt(2 * np.pi * variance), dtype=np.float64)


def posterior(
    rows: Sequence[Unknown], choices: Sequence[Choices], errors: Errors, seen: Sequence[FloatArray] | None = None
) -> Posterior:
    """Odds of every candidate of every size, jointly.

    Args:
        rows: n sizes; a parent stands before its children.
        choices: n, candidates of each.
        errors: the shared errors.
        seen: n arrays (c, a) of likelihoods if they are known already; computed else.
    Returns: the posterior.
    """
    if seen is None:
        seen = [likelihood(row, choice, errors) for row, choice in zip(rows, choices, strict=True)]
    shares = np.array([system.share for system in habits().systems])
    plain = [choice.weight @ like for choice, like in zip(choices, seen, strict=True)]
    families = families_of(rows, choices, plain, seen)
    told = {k for below in families.values() for family in below for k in family.rows}
    log_joint = np.log(shares / shares.sum())[:, None] + errors.log_odds[None, :]
    totals: dict[int, FloatArray] = {}
    bodies: dict[int, FloatArray] = {}
    for k in range(len(rows)):
        if k in told:
            continue
        if k in families:
            bodies[k] = with_families(choices[k], seen[k], families[k])
            totals[k] = bodies[k].sum(axis=1)
        else:
            totals[k] = plain[k]
        log_joint = log_joint + np.log(np.maximum(totals[k], TINY))
    top = float(log_joint.max())
    joint = np.exp(log_joint - top)
    evidence = float(joint.sum())
    joint /= evidence
    odds: list[FloatArray] = [np.zeros(0)] * len(rows)
    for k, total in totals.items():
        per_total = joint / np.maximum(total, TINY)
        if k in families:
            root_and_families(k, families[k], bodies[k] * per_total[:, None, :], choices, seen, odds)
        else:
            odds[k] = (choices[k].weight * (per_total @ seen[k].T)).sum(axis=0)
    return Posterior(
        odds=tuple(odds),
        system=joint.sum(axis=1),
        errors=joint.sum(axis=0),
        film_mm=float((joint.sum(axis=0) * errors.film_mm).sum()),
        scale=float((joint.sum(axis=0) * errors.scale).sum()),
        log_evidence=top + float(np.log(evidence)),
    )


def with_families(choice: Choices, seen: FloatArray, families: Sequence[Family]) -> FloatArray:
    """(s, p, a) evidence of each live candidate of a diameter together with what hangs on it."""
    at = live(choice, seen)
    body = choice.weight[:, at, None] * seen[None, at, :]
    for family in families:
        body = body * family.message
    return body


def root_and_families(
    k: int,
    families: Sequence[Family],
    body: FloatArray,
    choices: Sequence[Choices],
    seen: Sequence[FloatArray],
    odds: list[FloatArray],
) -> None:
    """Fills the odds of a diameter and of those that hang on it. body: (s, p, a) joint odds of its live candidates."""
    at = live(choices[k], seen[k])
    odds[k] = np.zeros(choices[k].weight.shape[1])
    odds[k][at] = body.sum(axis=(0, 2))
    for family in families:
        alone = body / np.maximum(family.message, TINY)
        for j, found in family.odds(alone, choices, seen):
            odds[j] = found
