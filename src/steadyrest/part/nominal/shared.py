"""Estimates without what the whole scan has wrong: film and scale, as all sizes together tell them.

Spray makes every shaft thicker and every bore narrower by the same few hundredths. One size cannot tell that from work
a little off; a dozen sizes that would all be round can. What is taken out is kept beside each size (`Size.scanned`), so
that naming again starts from the scan.

What is across (a diameter, a width between walls) and was probably drawn to a nominal is settled between what the scan
saw and how closely work is made to that nominal: a small hole seen to five hundredths was drilled closer than that. The
nearer the scan knows a size, the less it is moved; what lies far off, or follows no habit, stays as seen.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from steadyrest.part.nominal.choice import AS_MEASURED
from steadyrest.part.nominal.habits import FloatArray, habits
from steadyrest.part.nominal.judged import Judged
from steadyrest.part.nominal.likelihood import film_sign, normal_density, worn_tail
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.shop.figure import because
from steadyrest.shop.part import LIKELY, Feature, Nominal, Part, Size

LEAST_ODDS = 1e-4  # of a candidate: rarer ones move nothing
SAID_MM = 0.008  # a size settled farther than this from what was seen says so


def as_scanned(part: Part) -> Part:
    """The part with its estimates as they came from the scan.

    Args:
        part: named before, or not.
    Returns: the part, nothing taken out.
    """

    def back(size: Size) -> Size:
        if size.scanned is None:
            return size
        return replace(size, estimate=size.scanned[0], uncertainty=size.scanned[1], scanned=None)

    return replace(part, features=tuple(replace(f, sizes=tuple(map(back, f.sizes))) for f in part.features))


def shared_error(judged: Judged, row: Unknown) -> tuple[float, float]:
    """By how much film and scale make a size look larger than it is, and the variance of that, mm and mm2.

    Only as far as the sizes tell it: a part whose sizes follow no habit says nothing of film, and keeps what was seen.
    """
    errors, sign = judged.errors, film_sign(row)
    off = sign * errors.film_mm + errors.scale * row.observed_mm
    prior = np.exp(errors.log_odds)
    before, now = variance_of(off, prior / prior.sum()), variance_of(off, judged.posterior.errors)
    told = float(np.clip(1 - now / before, 0.0, 1.0)) if before > 0 else 0.0
    mean = float(judged.posterior.errors @ off)
    # Between the states of the grid lies a step's width.
    step = (sign * errors.film_step_mm) ** 2 + (errors.scale_step * row.observed_mm) ** 2
    return told * mean, now + ((1 - told) * mean) ** 2 + step / 12 + errors.own_mm**2


def variance_of(values: FloatArray, odds: FloatArray) -> float:
    """Variance of values under odds that add up to 1, both (a,)."""
    return float(odds @ (values - odds @ values) ** 2)


def seen_bare(judged: Judged, row: Unknown) -> Unknown:
    """A size as it would have been seen without film and scale; a model's as it is."""
    if judged.exact:
        return row
    mean, variance = shared_error(judged, row)
    return replace(row, observed_mm=row.observed_mm - mean, u_mm=float(np.hypot(row.u_mm, np.sqrt(variance))))


def is_built_up(size: Size) -> bool:
    """Whether the size that was named is that of the surface beside a smooth patch, not of the patch."""
    named = size.nominal
    if size.below is None or named is None or named.odds < LIKELY or named.source == AS_MEASURED:
        return False
    seen = size.estimate if size.scanned is None else size.scanned[0]
    return abs(named.value - size.below[0]) < abs(named.value - seen)


def without_shared_errors(part: Part, judged: Judged) -> Part:
    """The part with film and scale taken out of its estimates, and what stays unknown of them in the uncertainties.

    Args:
        part: as scanned. judged: what was weighed for it.
    Returns: the part; a model's as it is.
    """
    if judged.exact or not judged.rows:
        return part
    found = {key: (k, *shared_error(judged, row)) for k, row in enumerate(judged.rows) for key in row.members}

    def cleaned(feature: Feature, size: Size) -> Size:
        if (feature.id, size.name) not in found:
            return size
        k, mean, variance = found[feature.id, size.name]
        seen, u_mm = size.below if size.below is not None and is_built_up(size) else (size.estimate, size.uncertainty)
        worn = bool(feature.wear_mm)
        best = settled_mm(judged, k, seen, u_mm, mean, worn_seen=worn) if size.reading is None else seen - mean
        return replace(
            size, estimate=best, uncertainty=float(np.sqrt(u_mm**2 + variance)),
            scanned=(size.estimate, size.uncertainty), nominal=said(size, seen - mean, best, u_mm),
        )  # fmt: skip

    features = tuple(replace(f, sizes=tuple(cleaned(f, size) for size in f.sizes)) for f in part.features)
    return replace(part, features=features)


def said(size: Size, seen_mm: float, best_mm: float, u_mm: float) -> Nominal | None:
    """The nominal with a word on how far its size was settled from what was seen, where that is worth one."""
    if size.nominal is None or abs(best_mm - seen_mm) < SAID_MM:
        return size.nominal
    why = because("nominal.settled", seen_mm=seen_mm, u_mm=u_mm, best_mm=best_mm)
    return replace(size.nominal, why=(*size.nominal.why, why))


def settled_mm(
    judged: Judged, k: int, seen_mm: float, u_mm: float, shared_mm: float, *, worn_seen: bool
) -> float:  # fmt: skip
    """Where a size that was seen so probably lay when it was made.

    Args:
        judged: what was weighed. k: index of its unknown. seen_mm, u_mm: one surface as scanned, and its sigma.
        shared_mm: what film and scale make it look larger, as far as the sizes tell it. worn_seen: wear was found.
    Returns: the mean over all that the drawing may have shown; a length as seen, it is measured face to face.
    Source: normal work under normal noise, weighed by the odds of each candidate; derived here.
    """
    row, choices, errors, odds = judged.rows[k], judged.choices[k], judged.errors, judged.posterior.odds[k]
    sign, states = film_sign(row), judged.posterior.errors
    as_seen = seen_mm - shared_mm
    if sign == 0:
        return as_seen
    # Drawn to a nominal, a size does tell of film: all of what is expected of it counts.
    bare = seen_mm - float(states @ (sign * errors.film_mm + errors.scale * row.observed_mm))
    step = (sign * errors.film_step_mm) ** 2 + (errors.scale_step * row.observed_mm) ** 2
    noise = u_mm**2 + errors.own_mm**2 + step / 12
    total = float(odds[-1]) * as_seen
    for c in np.flatnonzero(odds[:-1] > LEAST_ODDS):
        made = errors.made_mm if np.isnan(choices.made_mm[c]) else np.full(len(states), choices.made_mm[c])
        made = np.maximum(made, habits().drills["over_sd_mm"])  # limits lie to one side: no work is believed closer
        target = float(choices.value_mm[c] + choices.offset_mm[c])
        total += float(odds[c]) * as_made(row, bare, target, noise, np.square(made), states, worn_seen=worn_seen)
    return total + float(odds[:-1][odds[:-1] <= LEAST_ODDS].sum()) * bare


def as_made(
    row: Unknown, bare_mm: float, target_mm: float, noise_mm2: float, made_mm2: FloatArray, states: FloatArray,
    *, worn_seen: bool,
) -> float:  # fmt: skip
    """The size that was made to one target, from what was seen of it.

    Args:
        row: which way wear goes. bare_mm: seen, without film. target_mm: where work to it usually lies.
        noise_mm2: variance of the scan. made_mm2: (a,) of the work. states: (a,) odds of each. worn_seen: wear was.
    Returns: between both; as seen where it lies so far off that either was done worse than usual.
    """
    off = bare_mm - target_mm
    share, times = habits().worse
    both = made_mm2 + noise_mm2
    plain = (1 - share) * states * normal_density(np.full(len(states), off), both)
    worse = share * states * normal_density(np.full(len(states), off), both * times**2)
    worn = np.zeros(len(states))
    if row.worn and row.worn_share > 0:
        worn = row.worn_share * states * worn_tail(row, np.full(len(states), off), both, row.worn_mm)
        plain, worse = (1 - row.worn_share) * plain, (1 - row.worn_share) * worse
    # What wear took was there when it was made; where no wear was seen, none is made up for.
    lost = target_mm if worn_seen else bare_mm
    held = made_mm2 / both
    lies = target_mm + held * off
    weight = float(plain.sum() + worse.sum() + worn.sum())
    if weight <= 0:
        return bare_mm
    return float((plain @ lies + worse.sum() * bare_mm + worn.sum() * lost) / weight)
