"""Everything that was weighed for one part, and what it says about each size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadyrest.part.nominal.candidates import candidates
from steadyrest.part.nominal.choice import AS_MEASURED, Choices, Fit
from steadyrest.part.nominal.errors import Errors, exact_errors, scan_errors
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.posterior import Posterior, posterior_of
from steadyrest.part.nominal.summed import Summed, summed
from steadyrest.part.nominal.unknowns import Unknown, modelled, unknowns
from steadyrest.shop.part import LIKELY, Part

SAME_MM = 1e-6
# A solid's size is round only if it is so to the rounding of the file's numbers; a mesh's to that of its facets.
EXACT_REACH_MM = 2e-5
MESH_REACH_MM = 3e-3
SOLID_MM = 1e-4
MESH_MM = 5e-4
SYSTEM_NAMES = {
    "metric": "metric", "metric_tenths": "metric", "metric_preferred": "metric",
    "inch_fraction": "inch", "inch_decimal": "inch", "mixed": "mixed", "as_measured": "as measured",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Judged:
    """The unknowns of a part, their candidates, the error grid, the sums in pieces and the joint posterior.

    ties: (index, "bolt" or "shaft", its name) of holes of which the others tell what they are there for.
    exact: from a model, as a solid or as its mesh. solid: from a solid, whose sizes are the model's own numbers.
    inch_file: the file says inches.
    """

    rows: tuple[Unknown, ...]
    choices: tuple[Choices, ...]
    errors: Errors
    sums: Summed
    posterior: Posterior
    exact: bool
    solid: bool
    inch_file: bool = False
    ties: tuple[tuple[int, str, str], ...] = ()

    @property
    def in_inches(self) -> bool:
        """Whether a size that follows no habit is written in inches.

        A model's own numbers are round in the unit it was drawn in, also where most of them follow no habit.
        """
        if not self.exact:
            return system_of(self.posterior) == "inch"
        odds = system_odds(self.posterior)
        return self.inch_file or odds["inch"] > odds["metric"] + odds["mixed"]


@dataclass(frozen=True, slots=True)
class Named:
    """One value that a size may have. fit: the most telling candidate that means it.

    standard: the standard part that belongs to it, where that is likely its reason; its odds given the size.
    """

    value_mm: float
    odds: float
    fit: Fit
    standard: Fit | None = None
    standard_odds: float = 0.0


def judge(part: Part, rounding: float = 1.0) -> Judged:
    """The joint posterior of all sizes of a part.

    Args:
        part: with features and estimates in mm.
        rounding: how many times coarser than usual the numbers of a model are rounded (by a file in another unit).
    Returns: what was weighed and found.
    """
    exact, solid = modelled(part), part.kind != "scan"
    rows = unknowns(part)
    reach_mm = (EXACT_REACH_MM if solid else MESH_REACH_MM) * rounding
    choices = candidates(rows, reach_mm=reach_mm if exact else None)
    errors = exact_errors((SOLID_MM if solid else MESH_MM) * rounding) if exact else scan_errors()
    sums = summed(rows, choices, errors)
    return Judged(rows, choices, errors, sums, posterior_of(sums), exact, solid, part.unit.name == "in")


def system_odds(post: Posterior) -> dict[str, float]:
    """Odds that the drawing is "metric", "inch", "mixed" or "as measured"."""
    odds: dict[str, float] = {}
    for system, share in zip(habits().systems, post.system, strict=True):
        name = SYSTEM_NAMES[system.name]
        odds[name] = odds.get(name, 0.0) + float(share)
    return odds


def system_of(post: Posterior) -> str | None:
    """ "inch", "metric" or "mixed", whichever the sizes speak for most; None if they follow no system."""
    odds = system_odds(post)
    best = max(odds, key=lambda name: odds[name])
    return None if best == AS_MEASURED else best


def ranked(choices: Choices, odds: FloatArray) -> tuple[Named, ...]:
    """The values that a size may have, the likeliest first; candidates that mean the same value are one.

    Args:
        choices: c candidates.
        odds: (c,) of each.
    Returns: one Named a value.
    """
    order = np.argsort(choices.value_mm[:-1], kind="stable")
    groups: list[list[int]] = []
    for c in order:
        if groups and choices.value_mm[c] - choices.value_mm[groups[-1][0]] < SAME_MM:
            groups[-1].append(int(c))
        else:
            groups.append([int(c)])
    named = [one_value(choices, odds, group) for group in groups]
    named.append(Named(float(choices.value_mm[-1]), float(odds[-1]), choices.fits[-1]))
    return tuple(sorted(named, key=lambda one: -one.odds))


def one_value(choices: Choices, odds: FloatArray, group: list[int]) -> Named:
    """Candidates of one value put together."""
    total = float(odds[group].sum())
    best = max(group, key=lambda c: float(odds[c]))
    standards = [c for c in group if choices.fits[c].source]
    share = float(odds[standards].sum()) / total if standards and total > 0 else 0.0
    standard = max(standards, key=lambda c: float(odds[c])) if share >= LIKELY else None
    value = float(choices.value_mm[group[0]])
    if standard is None:
        habit = max((c for c in group if not choices.fits[c].source), key=lambda c: float(odds[c]), default=best)
        return Named(value, total, choices.fits[habit])
    return Named(value, total, choices.fits[standard], choices.fits[standard], share)
