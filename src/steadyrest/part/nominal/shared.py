"""Estimates without what the whole scan has wrong: film and scale, as all sizes together tell them.

Spray makes every shaft thicker and every bore narrower by the same few hundredths. One size cannot tell that from work
a little off; a dozen sizes that would all be round can. What is taken out is kept beside each size (`Size.scanned`), so
that naming again starts from the scan.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from steadyrest.part.nominal.choice import AS_MEASURED
from steadyrest.part.nominal.habits import FloatArray
from steadyrest.part.nominal.judged import Judged
from steadyrest.part.nominal.likelihood import film_sign
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.shop.part import LIKELY, Part, Size


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
    found = {key: shared_error(judged, row) for row in judged.rows for key in row.members}

    def cleaned(feature_id: str, size: Size) -> Size:
        if (feature_id, size.name) not in found:
            return size
        mean, variance = found[feature_id, size.name]
        seen, u_mm = size.below if size.below is not None and is_built_up(size) else (size.estimate, size.uncertainty)
        return replace(
            size, estimate=seen - mean, uncertainty=float(np.sqrt(u_mm**2 + variance)),
            scanned=(size.estimate, size.uncertainty),
        )  # fmt: skip

    features = tuple(replace(f, sizes=tuple(cleaned(f.id, size) for size in f.sizes)) for f in part.features)
    return replace(part, features=features)
