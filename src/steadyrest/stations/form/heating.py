"""How long a sheet heats until its core is soft, and how hot its face is by then."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.stations.slab import Conducts, left_convection, rise_flux, when


@dataclass(frozen=True, slots=True)
class HeatingWanted:
    """A sheet before the heater.

    thickness_mm: of the sheet. faces: 2 heated, or 1 with the other insulated; the core is then the insulated face.
    start_c, core_c: before, and wanted at the core. surface_limit_c: above this the face is spoilt. material: of the
    sheet. h_w_m2k, around_c: convection from surroundings; or flux_w_m2: constant, for each heated face.
    """

    thickness_mm: float
    faces: int
    start_c: float
    core_c: float
    surface_limit_c: float
    material: Conducts
    h_w_m2k: float | None = None
    around_c: float | None = None
    flux_w_m2: float | None = None

    @property
    def half_mm(self) -> float:
        """From the core to a heated face."""
        return self.thickness_mm / self.faces


@dataclass(frozen=True, slots=True)
class Heated:
    """When the core is there. time, surface: None if it never is. cannot: every reason for a no; none: yes."""

    time: Figure | None
    surface: Figure | None
    cannot: tuple[Reason, ...]

    @property
    def answer(self) -> str:
        """yes or no."""
        return "no" if self.cannot else "yes"


def heated(wanted: HeatingWanted) -> Heated:
    """How long a sheet heats until its core is at core_c, and its face then.

    Args:
        wanted: sheet, heater, temperatures.
    Returns: time and surface with their reasons; a no with all its reasons.
    Source: the exact series of stations/slab.py, checked in tests/checks/test_slab.py.
    """
    if wanted.start_c >= wanted.core_c:
        why = (because("heating.warm_already", start_c=wanted.start_c, core_c=wanted.core_c),)
        return _judged(wanted, Figure(0.0, "s", why), wanted.start_c)
    fo = _fourier(wanted)
    if math.isinf(fo):
        return Heated(None, None, (_never(wanted),))
    seconds = fo * wanted.half_mm**2 / wanted.material.a_mm2_s
    if wanted.flux_w_m2 is None:
        how = because("heating.by_convection", h=wanted.h_w_m2k or 0.0, around_c=wanted.around_c or 0.0)
    else:
        how = because("heating.by_flux", flux_w=wanted.flux_w_m2)
    core = "heating.core_middle" if wanted.faces == 2 else "heating.core_back"
    return _judged(wanted, Figure(seconds, "s", (because(core, core_c=wanted.core_c), how)), _surface_c(wanted, fo))


def _fourier(wanted: HeatingWanted) -> float:
    """When the core is there, as a Fourier number; infinite: never."""
    if wanted.flux_w_m2 is not None:
        if wanted.flux_w_m2 <= 0:
            return math.inf
        rise = (wanted.core_c - wanted.start_c) * wanted.material.k_w_mk / (wanted.flux_w_m2 * wanted.half_mm * 1e-3)
        return when(lambda fo: rise - rise_flux(fo, 0.0))
    around_c, bi = wanted.around_c or 0.0, _biot(wanted)
    if around_c <= wanted.core_c or bi <= 0:
        return math.inf
    left = (around_c - wanted.core_c) / (around_c - wanted.start_c)
    return when(lambda fo: left_convection(bi, fo, 0.0) - left)


def _biot(wanted: HeatingWanted) -> float:
    return (wanted.h_w_m2k or 0.0) * wanted.half_mm * 1e-3 / wanted.material.k_w_mk


def _surface_c(wanted: HeatingWanted, fo: float) -> float:
    if wanted.flux_w_m2 is not None:
        scale = wanted.flux_w_m2 * wanted.half_mm * 1e-3 / wanted.material.k_w_mk
        return wanted.start_c + scale * rise_flux(fo, 1.0)
    around_c = wanted.around_c or 0.0
    return around_c - (around_c - wanted.start_c) * left_convection(_biot(wanted), fo, 1.0)


def _judged(wanted: HeatingWanted, time: Figure, surface_c: float) -> Heated:
    """A time, with the face then; no if the face is above its limit."""
    key = "heating.surface_two" if wanted.faces == 2 else "heating.surface_one"
    surface = Figure(surface_c, "degC", (because(key),))
    if surface_c <= wanted.surface_limit_c:
        return Heated(time, surface, ())
    over_c = surface_c - wanted.surface_limit_c
    why = because("heating.too_hot", surface_c=surface_c, allowed_c=wanted.surface_limit_c, over_c=over_c)
    return Heated(time, surface, (why,))


def _never(wanted: HeatingWanted) -> Reason:
    if wanted.flux_w_m2 is not None:
        return because("heating.no_flux", flux_w=wanted.flux_w_m2)
    if (wanted.h_w_m2k or 0.0) <= 0:
        return because("heating.no_transfer")
    return because("heating.too_cool", around_c=wanted.around_c or 0.0, core_c=wanted.core_c)


def cautions() -> tuple[Reason, ...]:
    """What to mind at the heater.

    Returns: the cautions.
    """
    return (because("heating.caution_alone"), because("heating.caution_burns"), because("heating.caution_manual"))
