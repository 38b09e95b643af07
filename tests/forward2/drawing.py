"""Drawings: what a small repair shop is brought, with every size that the drawing gives and the size it was made to.

The mix of sizes is common practice, no source: bearing seats, preferred metric, inch fractions, odd ones as measured.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .bodies import CHAMFER, CYLINDER, LATERAL, Part

BEARING_BORES = (10, 12, 15, 17, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70)
BEARING_OUTSIDES = (26, 28, 30, 32, 35, 37, 40, 42, 47, 52, 62, 72, 80, 85, 90, 100, 110)
PREFERRED = (
    3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 25, 28, 30, 32, 36, 38, 40, 42, 45, 48, 50, 55, 56, 60, 63, 65,
    70, 75, 80, 90, 100, 110, 120, 125, 140, 150, 160, 180, 200,
)  # fmt: skip
INCH_SHAFTS = tuple(25.4 * s / 16 for s in (8, 10, 12, 14, 16, 18, 19, 20, 22, 23, 24, 27, 28, 31, 32, 36, 39, 40))
CLEARANCE = (4.5, 5.5, 6.6, 9, 11, 13.5, 17.5, 22)
TAP_DRILLS = (3.3, 4.2, 5, 6.8, 8.5, 10.2, 14)
KEYS = ((10, 3), (12, 4), (17, 5), (22, 6), (30, 8), (38, 10), (44, 12), (50, 14), (58, 16), (65, 18), (999, 20))
INCH_KEYS = ((14.3, 3.175), (22.3, 4.7625), (31.8, 6.35), (35, 7.9375), (44.5, 9.525), (57.2, 12.7), (999, 15.875))


@dataclass(frozen=True, slots=True)
class Wear:
    """Material lost from a seat (or, below zero, welded on): depth, the arc it covers and the part of its length."""

    depth_mm: float
    arc_rad: float
    middle_rad: float
    low_share: float
    high_share: float
    lumps: bool = False


@dataclass(slots=True)
class Truth:
    """A size of the drawing: what it is, where it is, what was drawn and what was made.

    The scan fills in `seen`, the share of its surface that was seen, and `carried_mm`, what a fit on exactly the seen
    and unworn corners gives: where even that is off, no reader can be asked for the size.
    """

    kind: str
    nominal_mm: float
    made_mm: float
    standard: bool
    at: np.ndarray
    axis: np.ndarray
    half_length_mm: float
    step: int
    faces: tuple[int, ...] = (LATERAL,)
    wear: Wear | None = None
    seen: float = 0.0
    carried_mm: float = np.nan


@dataclass(slots=True)
class Drawing:
    """A part, its truths, lesser cylinders (slot ends, corners), patterns (count, diameter, axis)."""

    name: str
    part: Part
    half_mm: np.ndarray
    inch: bool
    truths: list[Truth] = field(default_factory=list)
    lesser: list[tuple[float, np.ndarray, np.ndarray]] = field(default_factory=list)
    patterns: list[tuple[int, float, np.ndarray]] = field(default_factory=list)

    def round(self, kind: str, size, at, axis, low: float, high: float, *, wear: Wear | None = None) -> Truth:
        """Add (`shaft`) or cut (`bore`) a cylinder from low to high along the axis through `at`, as a truth."""
        nominal, made, standard = size
        at, axis = np.asarray(at, float), np.asarray(axis, float) / np.linalg.norm(axis)
        step = self.part.step(CYLINDER, (made / 2, low, high), cut=kind == "bore", at=at, axis=axis)
        middle = at + axis * 0.5 * (low + high)
        truth = Truth(kind, nominal, made, standard, middle, axis, 0.5 * (high - low), step, wear=wear)
        self.truths.append(truth)
        return truth

    def chamfer(self, radius: float, z: float, leg: float, side: int, at=(0, 0, 0), axis=(0, 0, 1)) -> None:
        """Take the corner off a shaft's end."""
        self.part.step(CHAMFER, (radius, z, leg, side), cut=True, at=at, axis=axis)


def made(rng: np.random.Generator, nominal: float, low: float = -0.03, high: float = 0.03) -> float:
    """The size a careful man made it to, within a zone."""
    return nominal + float(np.clip(rng.normal((low + high) / 2, (high - low) / 5), low, high))


def size(
    rng: np.random.Generator, low: float, high: float, inch: bool, zone=(-0.03, 0.03)
) -> tuple[float, float, bool]:
    """A size of the drawing's own kind between two limits: (nominal, made, standard)."""
    odd = rng.random()
    if odd < 0.08:
        nominal = round(float(rng.uniform(low, high)), 1 if rng.random() < 0.6 else 2)
        whole = nominal == round(nominal)
        return nominal, made(rng, nominal, *zone), whole
    if inch:
        unit = 25.4 / (16 if high < 60 else 8)
        if odd > 0.85:
            unit /= 2
        nominal = float(round(rng.uniform(low, high) / unit) * unit)
    else:
        fits = [p for p in PREFERRED if low <= p <= high]
        nominal = float(rng.choice(fits)) if fits and odd < 0.85 else float(round(rng.uniform(low, high)))
    return nominal, made(rng, nominal, *zone), True


def pick(rng: np.random.Generator, values, low: float, high: float, zone) -> tuple[float, float, bool]:
    """One of a standard series between two limits, or the one nearest to them."""
    fits = [v for v in values if low <= v <= high] or [min(values, key=lambda v: abs(v - (low + high) / 2))]
    nominal = float(rng.choice(fits))
    return nominal, made(rng, nominal, *zone), True


def seat_wear(rng: np.random.Generator, chance: float) -> Wear | None:
    """What the years did to a seat: one side, a band all round, an old weld repair, or nothing."""
    if rng.random() > chance:
        return None
    depth, middle = float(np.exp(rng.uniform(np.log(0.05), np.log(0.6)))), float(rng.uniform(-np.pi, np.pi))
    low = float(rng.uniform(0, 0.25))
    how = rng.random()
    if how < 0.65:
        arc = np.radians(rng.uniform(90, 300))
        return Wear(depth, float(arc), middle, low if rng.random() < 0.5 else -0.1, float(rng.uniform(0.75, 1.1)))
    if how < 0.87:
        return Wear(min(depth, 0.35), 7.0, middle, 0.12 + low, low + float(rng.uniform(0.5, 0.72)))
    return Wear(-float(rng.uniform(0.12, 0.45)), float(np.radians(rng.uniform(50, 130))), middle, low, 0.9, lumps=True)
