"""How likely a size is seen as it was, if the drawing showed a candidate: noise, film, scale, work, wear, the gauge.

Shapes: c candidates of one size, the last of them free; a states of the shared errors.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from steadyrest.part.nominal.choice import DRILLED, RUNNING, Choices
from steadyrest.part.nominal.errors import Errors
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.unknowns import Unknown

BoolArray = npt.NDArray[np.bool_]
WALLED = (
    ("slot", "width_mm"), ("pocket", "width_mm"), ("pocket", "length_mm"), ("boss", "width_mm"), ("flat", "width_mm"),
)  # fmt: skip


def film_sign(unknown: Unknown) -> float:
    """What film on the surfaces does to a size: +1 a shaft grows by it, -1 a bore or a width between walls shrinks.

    A length from face to face, or a depth from surface to floor, moves with it at both ends: 0. What is across the
    walls of a slot, a pocket, an island or two flats does not.
    """
    between_walls = (unknown.kind, unknown.name) in WALLED
    if unknown.role in ("length", "other", "keyway depth") and not between_walls:
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
    above = of_one_level(unknown, choices, errors)
    if unknown.below is None:
        return above
    # What stands high was built up, or what lies low is worn: one of two levels is the seat's.
    share = habits().wear["below_share"]
    beside = replace(unknown, observed_mm=unknown.below[0], u_mm=unknown.below[1], worn=0, worn_share=0.0)
    return (1 - share) * above + share * of_one_level(beside, choices, errors)


def of_one_level(unknown: Unknown, choices: Choices, errors: Errors) -> FloatArray:
    """The likelihood of a size that is what it was observed as; arguments as above."""
    length = unknown.role in ("length", "other")
    sign = film_sign(unknown)
    between = (errors.film_step_mm * sign) ** 2 / 12 + (errors.scale_step * unknown.observed_mm) ** 2 / 12
    scan_var = unknown.u_mm**2 + errors.own_mm**2 + between
    made = errors.made_mm * (habits().length_times if length else 1.0)
    made_var = np.where(np.isnan(choices.made_mm)[:, None], made[None, :], choices.made_mm[:, None]) ** 2
    target = (choices.value_mm + choices.offset_mm)[:, None]
    if unknown.reading is None:
        seen = target * (1 + errors.scale[None, :]) + sign * errors.film_mm[None, :]
        drilled = np.array([fit.source in DRILLED for fit in choices.fits])[:, None]
        found = density(unknown, unknown.observed_mm - seen, made_var, scan_var, never_small=drilled)
        running = np.array([fit.source in RUNNING for fit in choices.fits])
        if unknown.even_share and running.any():
            off, variance = unknown.observed_mm - seen[running], (made_var + scan_var)[running]
            tail = worn_tail(unknown, off, variance, habits().wear["even_mm"])
            found[running] = (1 - unknown.even_share) * found[running] + unknown.even_share * tail
        found[-1, :] = 1.0
        return found
    # By hand: the reading stands beside the nominal, and the scan beside the reading, so that one reading also tells
    # film and scale for every other size.
    hand_mm, hand_u = unknown.reading
    found = density(unknown, hand_mm - target, made_var, hand_u**2)
    found[-1, :] = 1.0
    again = unknown.observed_mm - hand_mm * (1 + errors.scale) - sign * errors.film_mm
    return found * np.maximum(normal_density(again, scan_var + hand_u**2), 1e-3)[None, :]


def density(
    unknown: Unknown,
    off_mm: FloatArray,
    made_var: FloatArray,
    seen_var: float,
    *,
    never_small: BoolArray | bool = False,
) -> FloatArray:  # fmt: skip
    """Density of being seen this far from where the nominal would be: even noise with wide tails, wear to one side.

    Args:
        unknown: which way wear goes, how likely, and its mean.
        off_mm: seen minus expected, any shape.
        made_var, seen_var: variance of work, same shape, and of noise, mm2.
        never_small: of which candidates work that went badly only makes the size larger, a shape that broadcasts.
    Returns: same shape, 1/mm. With wear, a share of it is a normal widened by an exponential tail to the worn side.
    """
    share, times = habits().worse
    variance = made_var + seen_var
    above = times * np.sqrt(variance)
    below = np.where(never_small, np.sqrt(made_var + times**2 * seen_var), above)
    wide = np.exp(-((off_mm / np.where(off_mm < 0, below, above)) ** 2) / 2) / (np.sqrt(np.pi / 2) * (below + above))
    plain = (1 - share) * normal_density(off_mm, variance) + share * wide
    if unknown.worn == 0 or unknown.worn_share <= 0:
        return plain
    tail = worn_tail(unknown, off_mm, variance, unknown.worn_mm)
    return (1 - unknown.worn_share) * plain + unknown.worn_share * tail


def worn_tail(unknown: Unknown, off_mm: FloatArray, variance: FloatArray, mean_mm: float) -> FloatArray:
    """Density of a normal widened by an exponential tail to the worn side, of this mean."""
    from scipy.special import log_ndtr  # late: the command's help must not wait for SciPy

    sd = np.sqrt(variance)
    lost = -unknown.worn * off_mm
    tail = np.exp(variance / (2 * mean_mm**2) - lost / mean_mm + log_ndtr(lost / sd - sd / mean_mm)) / mean_mm
    return np.asarray(tail, dtype=np.float64)


def normal_density(off_mm: FloatArray, variance: FloatArray | float) -> FloatArray:
    """Normal density at a distance from its mean."""
    return np.asarray(np.exp(-(off_mm**2) / (2 * variance)) / np.sqrt(2 * np.pi * variance), dtype=np.float64)
