"""Heat through a flat slab, in one direction: the exact series, for sheet that is heated and for mouldings that cool.

A slab has half thickness L: its mid-plane, or the insulated face of a slab heated from one side only, is at x = 0, the
heated face at x = L. Fo = a t / L^2 is the time without unit, Bi = h L / k how well heat gets into the face.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.special import erfc

FloatArray = npt.NDArray[np.float64]

TERMS = 120  # of a series; with Fo at EARLY or later the last is far below the last digit
EARLY = 0.02  # below this the series wants ever more terms, and its other form, by reflections, wants two
FO_LEAST, FO_MOST = 1e-12, 1e12


@dataclass(frozen=True, slots=True)
class Conducts:
    """How a material takes up heat. k_w_mk: conductivity. rho_kg_m3: density. cp_j_kgk: heat to warm a kilogram."""

    k_w_mk: float
    rho_kg_m3: float
    cp_j_kgk: float

    @property
    def a_mm2_s(self) -> float:
        """Thermal diffusivity k / (rho cp)."""
        return 1e6 * self.k_w_mk / (self.rho_kg_m3 * self.cp_j_kgk)


def roots(bi: float, count: int = TERMS) -> FloatArray:
    """The first roots of z tan z = Bi, one in each half turn.

    Args:
        bi: Biot number; > 0.
        count: how many.
    Returns: (count,) rising.
    Raises: ValueError: bi is not above 0.
    """
    if not bi > 0:
        raise ValueError(f"roots: bi must be > 0, is {bi!r}")
    low = math.pi * np.arange(count, dtype=float)
    high = low + math.pi / 2
    for _ in range(200):  # halving: z sin z - Bi cos z rises through its root in each bracket
        mid = 0.5 * (low + high)
        below = (mid * np.sin(mid) - bi * np.cos(mid)) * np.where(np.arange(count) % 2, -1.0, 1.0) < 0
        low, high = np.where(below, mid, low), np.where(below, high, mid)
        if np.all(high - low <= 4e-16 * high):
            break
    return 0.5 * (low + high)


def left_convection(bi: float, fo: float, x: float) -> float:
    """What is left of the first difference to the air, faces heated or cooled by convection.

    Args:
        bi: Biot number; > 0.
        fo: Fourier number; >= 0.
        x: where, as a share of L: 0 the core, 1 the face.
    Returns: (T - air) / (T0 - air), from 1 down to 0.
    Source: the series of Carslaw and Jaeger, as printed in the usual textbooks on heat transfer (from memory).
    """
    z = roots(bi)
    terms = 4 * np.sin(z) / (2 * z + np.sin(2 * z)) * np.exp(-(z**2) * fo) * np.cos(z * x)
    return float(np.sum(terms))


def rise_flux(fo: float, x: float) -> float:
    """How far a slab has warmed, its faces taking up a constant flux q.

    Args:
        fo: Fourier number; >= 0.
        x: where, as a share of L: 0 the core, 1 the face.
    Returns: (T - T0) k / (q L).
    Source: Carslaw and Jaeger (from memory).
    """
    if fo <= 0:
        return 0.0
    if fo < EARLY:
        total, root = 0.0, math.sqrt(fo)
        for n in range(4):
            for y in (2 * n + 1 - x, 2 * n + 1 + x):
                s = y / (2 * root)
                total += 2 * root * (math.exp(-s * s) / math.sqrt(math.pi) - s * float(erfc(s)))
        return total
    m = np.arange(1, TERMS + 1)
    signs = np.where(m % 2, -1.0, 1.0)
    series = np.sum(signs / m**2 * np.exp(-((m * math.pi) ** 2) * fo) * np.cos(m * math.pi * x))
    return float(fo + (3 * x * x - 1) / 6 - 2 / math.pi**2 * series)


def left_at_wall(fo: float, *, mean: bool) -> float:
    """What is left of the first difference to the wall, faces kept at the wall's temperature.

    Args:
        fo: Fourier number; >= 0.
        mean: of the mean through the thickness, not of the core.
    Returns: (T - wall) / (T0 - wall), from 1 down to 0.
    Source: Carslaw and Jaeger (from memory); its first term is the cooling time of the moulding handbooks.
    """
    if fo <= 0:
        return 1.0
    if fo < EARLY:
        root = math.sqrt(fo)
        if mean:
            return 1 - 2 * root / math.sqrt(math.pi)
        return 1 - 2 * float(erfc(1 / (2 * root))) + 2 * float(erfc(3 / (2 * root)))
    n = 2 * np.arange(TERMS) + 1
    gone = np.exp(-((n * math.pi / 2) ** 2) * fo)
    if mean:
        return float(np.sum(8 / (n * math.pi) ** 2 * gone))
    return float(np.sum(4 / (n * math.pi) * np.where(n % 4 == 1, 1.0, -1.0) * gone))


def when(passed: Callable[[float], float]) -> float:
    """The Fourier number at which something falls to nothing.

    Args:
        passed: of the Fourier number; above 0 before, below 0 after, falling.
    Returns: where it is 0; infinite if it never is.
    """
    if passed(FO_MOST) > 0:
        return math.inf
    if passed(FO_LEAST) <= 0:
        return 0.0
    lg = brentq(lambda e: passed(math.exp(e)), math.log(FO_LEAST), math.log(FO_MOST), xtol=1e-14)
    return math.exp(float(lg))  # type: ignore[arg-type]
