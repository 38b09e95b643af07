"""Why a size was named as it was: what was measured, what it fits, what speaks against it."""

from __future__ import annotations

import numpy as np

from steadyrest.part.nominal.choice import AS_MEASURED, RUNNING, Fit
from steadyrest.part.nominal.judged import Judged, Named, system_of
from steadyrest.part.nominal.likelihood import film_sign
from steadyrest.part.nominal.partners import near_fit
from steadyrest.part.nominal.shared import seen_bare
from steadyrest.part.nominal.shown import shown
from steadyrest.part.nominal.ties import KEYS
from steadyrest.part.nominal.unknowns import Unknown
from steadyrest.shop.figure import Reason, because

FILM_MM = 0.008
EVEN_WEAR_MM, CLEARLY = 0.04, 3.0  # less is the work's own; or the noise's
SCALE = 1.5e-4


def reasons(judged: Judged, k: int, best: Named) -> tuple[Reason, ...]:
    """Why one size was named so, the most telling first.

    Args:
        judged: what was weighed.
        k: index of the size.
        best: the value it got.
    Returns: at least one reason.
    """
    row = judged.rows[k]
    if judged.exact:
        return (*modelled(row, best), *one_for_all(judged, k, best))
    why: list[Reason] = []
    if row.reading is not None:
        why.append(because("nominal.by_hand", reading_mm=row.reading[0], u_mm=row.reading[1]))
    if best.fit.source == AS_MEASURED:
        why.append(because("nominal.as_measured", measured_mm=row.observed_mm, u_mm=row.u_mm))
    else:
        why.append(because("nominal.near", measured_mm=row.observed_mm, u_mm=row.u_mm,
                           off_um=abs(row.observed_mm - best.value_mm) * 1000))  # fmt: skip
    if best.standard is not None:
        why.append(standard(best.standard, best.value_mm))
    why.extend(one_for_all(judged, k, best))
    system = system_of(judged.posterior)
    if system is not None and best.fit.source != AS_MEASURED and len(judged.rows) > 1:
        why.append(because(f"nominal.{system}"))
    lost_mm = worn_evenly_mm(judged, row, best)
    if lost_mm > 0:
        why.append(because("nominal.even_wear", lost_um=lost_mm * 1000))
    elif row.worn and row.worn_share >= 0.3 and abs(best.value_mm - row.observed_mm) > row.u_mm:
        why.append(because("nominal.worn_shaft" if row.worn > 0 else "nominal.worn_bore"))
    if len(row.members) > 1:
        why.append(because("nominal.repeated", count=float(len(row.members))))
    why.extend(shared_errors(judged, row))
    return tuple(why)


def worn_evenly_mm(judged: Judged, row: Unknown, best: Named) -> float:
    """How far beyond its work a sound-looking seat lies that something runs on; 0 where noise or work says it."""
    fit = best.standard
    if fit is None or fit.source not in RUNNING or not row.even_share or row.reading is not None:
        return 0.0
    bare = seen_bare(judged, row)
    lost_mm = row.worn * (fit.value_mm + fit.offset_mm - bare.observed_mm)
    return lost_mm if lost_mm > max(EVEN_WEAR_MM, CLEARLY * float(np.hypot(bare.u_mm, fit.made_mm))) else 0.0


def one_for_all(judged: Judged, k: int, best: Named) -> tuple[Reason, ...]:
    """The bolt or shaft that other holes of the part speak for, where this one is there for it too."""
    fit = best.standard
    return tuple(
        because(f"nominal.one_{kind}", name=name)
        for of, kind, name in judged.ties
        if of == k and fit is not None and name in KEYS[kind](fit)
    )


def standard(fit: Fit, value_mm: float) -> Reason:
    """Which standard part a size belongs to."""
    key = fit.source.lower().replace(" ", "_").replace("-", "_")
    return because(f"nominal.{key}", part=fit.part, nominal=shown(value_mm, fit.unit))


def shared_errors(judged: Judged, row: Unknown) -> tuple[Reason, ...]:
    """What all sizes together say about the scan's own error, where it matters to this size."""
    film = judged.posterior.film_mm
    scale = judged.posterior.scale
    found: list[Reason] = []
    if abs(film) > FILM_MM and film_sign(row) != 0:
        found.append(because("nominal.film_thick" if film > 0 else "nominal.film_thin", film_um=abs(film) * 1000))
    if abs(scale) > SCALE and abs(scale) * row.observed_mm > FILM_MM:
        found.append(because("nominal.scale", each_hundred_um=scale * 1e5))
    return tuple(found)


def modelled(row: Unknown, best: Named) -> tuple[Reason, ...]:
    """A solid's size is its own; a standard partner or a round size close by is said, not taken."""
    why = [because("nominal.as_modelled")]
    if best.standard is not None:
        why.append(standard(best.standard, best.value_mm))
    partner = near_fit(row) if best.fit.source == AS_MEASURED else None
    if partner is not None:
        why.append(because("nominal.fit_partner", partner=shown(partner, "mm")))
    return tuple(why)
