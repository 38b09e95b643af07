"""Drawings, work and scans as a test imagines them. Shares no table of habits and no error model with the estimator.

A drawing is drawn size by size from plain rules of its own; the shop works inside tolerances (uniform, not normal); the
scan adds film on outside surfaces, a scale, a drift along the axis, and noise with heavy tails (Student, 5 degrees).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, Part, Profile, Size, Stretch, UnitSaid

X = (1.0, 0.0, 0.0)
INCH = 25.4
BORES = (15, 17, 20, 25, 30, 35, 40, 45, 50)


@dataclass(frozen=True, slots=True)
class Truth:
    """What the drawing showed: (feature id, size name) to mm, and which of them follow no rule or are worn."""

    part: Part
    nominal: dict[tuple[str, str], float]
    odd: frozenset[tuple[str, str]]
    worn: frozenset[str]


def drawn_size(rng: np.random.Generator, system: str, near: float) -> tuple[float, bool]:
    """A size near the wanted one as a draughtsman of this habit would round it; True if it follows no rule."""
    if rng.random() < 0.05:
        return float(near + rng.uniform(-1, 1)), True
    if system == "inch":
        step = INCH * float(
            rng.choice([1 / 4, 1 / 8, 1 / 16, 1 / 32, 0.05, 0.01], p=[0.25, 0.30, 0.27, 0.06, 0.07, 0.05])
        )
    elif system == "tenths":
        step = float(rng.choice([1.0, 0.5, 0.1], p=[0.55, 0.2, 0.25]))
    else:
        step = float(rng.choice([5.0, 2.0, 1.0, 0.5, 0.1], p=[0.32, 0.25, 0.30, 0.10, 0.03]))
    return max(step, round(near / step) * step), False


def shaft_part(rng: np.random.Generator, *, noise_mm: float = 0.035, worn_share: float = 0.25) -> Truth:
    """One stepped shaft, drawn, made, used and scanned."""
    system = str(rng.choice(["metric", "tenths", "inch", "mixed"], p=[0.5, 0.12, 0.28, 0.10]))
    count = int(rng.integers(4, 9))
    film, scale, drift = rng.uniform(-0.01, 0.045), rng.normal(0, 2e-4), rng.normal(0, 1e-4)
    sloppy = float(rng.choice([0.01, 0.04, 0.12], p=[0.5, 0.38, 0.12]))
    diameters = np.sort(rng.uniform(12, 60, count))
    order = [*range(0, count, 2), *reversed(range(1, count, 2))]
    at = 0.0
    features: list[Feature] = []
    stretches: list[Stretch] = []
    nominal: dict[tuple[str, str], float] = {}
    odd: set[tuple[str, str]] = set()
    worn: set[str] = set()
    for k, rank in enumerate(order):
        name = f"F{k + 1}"
        habit = str(rng.choice(["metric", "inch"])) if system == "mixed" else system
        diameter, free = drawn_size(rng, habit, float(diameters[rank]))
        seat = not free and rng.random() < 0.15
        if seat:
            diameter = float(min(BORES, key=lambda b: abs(b - diameter)))
        length, odd_length = drawn_size(rng, habit, float(rng.uniform(8, 60)))
        nominal[name, "diameter_mm"], nominal[name, "length_mm"] = diameter, length
        odd |= {(name, "diameter_mm")} if free else set()
        odd |= {(name, "length_mm")} if odd_length else set()
        made = diameter + (rng.uniform(0.002, 0.018) if seat else rng.uniform(-sloppy, sloppy))
        u = noise_mm / rng.uniform(2, 8)
        seen = made * (1 + scale) + film + drift * (at + length / 2) + u * rng.standard_t(5) * 0.775
        wear = 0.0
        if rng.random() < worn_share:
            wear = float(rng.uniform(0.08, 0.4))
            worn.add(name)
            seen -= 2 * float(rng.exponential(0.06 * wear))
        u_length = noise_mm * rng.uniform(0.4, 1.2)
        seen_length = length * (1 + scale) + rng.uniform(-2 * sloppy, 2 * sloppy) + u_length * rng.standard_t(5) * 0.775
        features.append(
            Feature(
                id=name,
                kind="shaft",
                sizes=(
                    Size("diameter_mm", seen, seen - 1.4 * wear, u),
                    Size("length_mm", seen_length, seen_length, u_length),
                ),
                axis=X,
                at_mm=(at + length / 2, 0.0, 0.0),
                along_mm=(at, at + length),
                wear_mm=wear,
                wear_along_mm=(at + 0.2 * length, at + 0.8 * length) if wear else None,
                area_mm2=np.pi * diameter * length,
            )
        )
        stretches.append(Stretch(at, at + length, diameter, diameter, name))
        at += length
    part = Part(
        name="shaft",
        kind="scan",
        unit=UnitSaid("mm", "sure", because("nominal.metric")),
        size_mm=(at, 60.0, 60.0),
        volume_mm3=None,
        features=tuple(features),
        axisymmetric=True,
        profile=Profile((0.0, 0.0, 0.0), X, tuple(stretches)),
        noise_mm=noise_mm,
    )
    return Truth(part, nominal, frozenset(odd), frozenset(worn))


@dataclass(frozen=True, slots=True)
class Score:
    """One judged size: stated odds, whether it was right, its state, and what kind of size it was."""

    odds: float
    right: bool
    state: str
    name: str
    odd: bool
    worn: bool


def scores(truth: Truth, named: Part) -> list[Score]:
    """Every size of a named part against the drawing. An odd size is right if it was kept as measured, or hit."""
    found: list[Score] = []
    for feature in named.features:
        for size in feature.sizes:
            key = (feature.id, size.name)
            said = size.nominal
            assert said is not None
            hit = abs(said.value - truth.nominal[key]) < 1e-3
            right = hit or (key in truth.odd and said.source == "as measured")
            worn = feature.id in truth.worn and size.name == "diameter_mm"
            found.append(Score(said.odds, right, said.state, size.name, key in truth.odd, worn))
    return found
