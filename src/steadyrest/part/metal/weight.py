"""Density by scale and scan or by scale and water, and how well it suits each kind of metal."""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, hypot, log, sqrt

from steadyrest.part.metal.evidence import MetalEvidence
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.tables.metal_tests import BenchTest, MetalKind, weighing

# What a floor spreads over, kg/m3: lighter than any plastic to heavier than tungsten.
LIGHTEST, HEAVIEST = 300.0, 22000.0
LADEN = 1.15  # a bush or a plug of something heavier makes a part at most so much heavier
TWO_AGREE = 3.0  # sigmas


@dataclass(frozen=True, slots=True)
class Density:
    """value, u: kg/m3, one sigma. why: how it was come by."""

    value: float
    u: float
    why: tuple[Reason, ...]

    @property
    def figure(self) -> Figure:
        return Figure(self.value, "kg/m3", self.why)


def volume_of_scan(volume_mm3: float, *, area_mm2: float, noise_mm: float) -> tuple[float, float]:
    """The volume of a closed scan and how far it is to be trusted.

    Args:
        volume_mm3: enclosed. area_mm2: whole surface. noise_mm: of one point, 1 sigma; 0 for a solid.
    Returns: volume and one sigma, mm3: the whole surface lies off by a share of the noise, the length by scale.
    """
    off = weighing("scan_offset_hundredths") * noise_mm * area_mm2
    scale = 3 * weighing("scan_scale_hundredths") * volume_mm3 if noise_mm > 0 else 0.0
    return volume_mm3, hypot(off, scale)


def density_of(evidence: MetalEvidence) -> Density | None:
    """Density from what was weighed.

    Args:
        evidence: checked.
    Returns: by water if it hung there, by the scan's volume else, both together where they agree; None if not weighed.
    """
    if evidence.mass_kg is None:
        return None
    found = [d for d in (_by_scan(evidence), _by_water(evidence)) if d is not None]
    if not found:
        return None
    if len(found) == 1:
        return found[0]
    scan, water = found
    if abs(scan.value - water.value) > TWO_AGREE * hypot(scan.u, water.u):
        differ = because("metal.two_densities", scan=_dm3(scan.value), water=_dm3(water.value))
        return Density(water.value, water.u, (*water.why, differ))
    a, b = 1 / max(scan.u, 1e-9) ** 2, 1 / max(water.u, 1e-9) ** 2
    return Density((a * scan.value + b * water.value) / (a + b), 1 / sqrt(a + b), (*scan.why, *water.why))


def density_odds(value: float, u: float, kind: MetalKind, weigh: BenchTest) -> float:
    """How likely a kind is to give this density, per kg/m3.

    Args:
        value, u: measured density and its one sigma, kg/m3. kind: of metal. weigh: the test, for its misreadings.
    Returns: density of probability: alloys evenly over the kind's range, blurred by u; besides, hollows and bushes that
        no scan sees, and a floor for a number read or written down wrong.
    """
    low, high = kind.density_kg_m3
    hollow, laden = weighing("hollow_hundredths"), weighing("laden_hundredths")
    full = (1 - hollow - laden) * _box(value, low, high, u)
    less = hollow * _box(value, weighing("lightest_hundredths") * low, low, u)
    more = laden * _box(value, high, LADEN * high, u)
    return (1 - weigh.misread) * (full + less + more) + weigh.misread * anything(value)


def anything(value: float) -> float:
    """Probability density of a density of which nothing is known, evenly over its logarithm."""
    return 1 / (max(value, LIGHTEST) * log(HEAVIEST / LIGHTEST))


def _by_scan(evidence: MetalEvidence) -> Density | None:
    if evidence.volume_mm3 is None or evidence.mass_kg is None:
        return None
    (volume, u_volume), (mass, u_mass) = evidence.volume_mm3, evidence.mass_kg
    value = mass / volume * 1e9
    u = value * hypot(u_volume / volume, u_mass / mass)
    why = because("metal.by_scan", mass_kg=mass, volume_mm3=volume, density=_dm3(value), u=_dm3(u))
    return Density(value, max(u, 1e-4 * value), (why,))


def _by_water(evidence: MetalEvidence) -> Density | None:
    if evidence.in_water_kg is None or evidence.mass_kg is None:
        return None
    mass, u_mass = evidence.mass_kg
    pushed = mass - evidence.in_water_kg
    value = mass * weighing("water_kg_m3") / pushed
    u = value * sqrt((u_mass / mass) ** 2 + 2 * (u_mass / pushed) ** 2 + weighing("bubbles_hundredths") ** 2)
    why = because("metal.by_water", in_water_kg=evidence.in_water_kg, density=_dm3(value), u=_dm3(u))
    return Density(value, u, (why,))


def _dm3(kg_m3: float) -> float:
    return float(f"{kg_m3 / 1000:.3g}")


def _box(x: float, low: float, high: float, u: float) -> float:
    """Even between low and high, blurred by a normal of u."""
    if high <= low:
        return 0.0
    far = u * sqrt(2)
    return (erf((high - x) / far) - erf((low - x) / far)) / (2 * (high - low))
