"""Parts that carry bought-in parts, as a test imagines them: housings, hubs and shafts with seats, rings, seals, keys.

The rows are typed in here from prints, not taken from the project's tables; shares and errors are this file's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from steadyrest.shop.figure import because
from steadyrest.shop.part import Feature, FeatureKind, Part, Size, UnitSaid
from tests.part.nominal.forward import Truth, X, drawn_size

# Bore, outside, width: ISO 15, seen in a reprint (handbook rows of 60, 62, 63).
BEARINGS = (
    (15, 32, 9), (15, 35, 11), (17, 35, 10), (17, 40, 12), (20, 42, 12), (20, 47, 14), (20, 52, 15), (25, 47, 12),
    (25, 52, 15), (25, 62, 17), (30, 55, 13), (30, 62, 16), (30, 72, 19), (35, 62, 14), (35, 72, 17), (40, 80, 18),
)  # fmt: skip
# Shaft, width, depth in shaft, depth in hub: DIN 6885-1, seen in a reprint.
KEYS = ((12, 4, 2.5, 1.8), (17, 5, 3.0, 2.3), (22, 6, 3.5, 2.8), (30, 8, 4.0, 3.3), (38, 10, 5.0, 3.3),
        (44, 12, 5.0, 3.3), (50, 14, 5.5, 3.8))  # fmt: skip
# Size, groove floor, width: DIN 471 on shafts and DIN 472 in bores, from memory.
RINGS_ON = ((15, 14.3, 1.1), (17, 16.2, 1.1), (20, 19, 1.3), (25, 23.9, 1.3), (30, 28.6, 1.6), (35, 33, 1.6),
            (40, 37.5, 1.85))  # fmt: skip
RINGS_IN = ((32, 33.7, 1.3), (35, 37, 1.6), (40, 42.5, 1.85), (42, 44.5, 1.85), (47, 49.5, 1.85), (52, 55, 2.15),
            (62, 65, 2.15), (72, 75, 2.65))  # fmt: skip
# Shaft, housing, width of lip seals: DIN 3760, from memory.
SEALS = ((15, 30, 7), (17, 35, 7), (20, 35, 7), (25, 42, 7), (30, 47, 7), (35, 52, 7), (40, 55, 7))
# Cord, radial depth, width of a groove sealing at rest: common practice, no source.
CORDS = ((2.0, 1.5, 2.7), (2.5, 1.95, 3.3), (3.0, 2.35, 4.0), (3.55, 2.8, 4.8))


# A size's name, its nominal, from where to where off it the shop makes it (None: its own way), whether it is odd.
Drawn = tuple[str, float, tuple[float, float] | None, bool]


@dataclass
class Bench:
    """One part on its way: what was drawn, made and scanned of it."""

    rng: np.random.Generator
    system: str
    sloppy_mm: float
    film_mm: float
    scale: float
    noise_mm: float
    features: list[Feature] = field(default_factory=list)
    nominal: dict[tuple[str, str], float] = field(default_factory=dict)
    odd: set[tuple[str, str]] = field(default_factory=set)
    worn: set[str] = field(default_factory=set)

    def drawn(self, low: float, high: float) -> tuple[float, bool]:
        habit = str(self.rng.choice(["metric", "inch"])) if self.system == "mixed" else self.system
        return drawn_size(self.rng, habit, float(self.rng.uniform(low, high)))

    def add(
        self, kind: FeatureKind, sizes: Sequence[Drawn], low: float, high: float, *, on: str | None = None,
        inside: bool = False, wear: float = 0.0,
    ) -> str:  # fmt: skip
        """One feature: (name, nominal, made from-to off the nominal or None for the shop's own way, odd)."""
        name = f"F{len(self.features) + 1}"
        found: list[Size] = []
        for key, value, made, odd in sizes:
            axial = key == "length_mm" or (key == "width_mm" and kind == "groove")
            rough = self.sloppy_mm * (2 if axial else 1)
            off = self.rng.uniform(*(made or (-rough, rough)))
            if key == "length_mm" or (key == "depth_mm" and kind in ("bore", "keyway")):
                u = self.noise_mm * self.rng.uniform(0.4, 1.2)
                film = 0.0
            else:
                u = self.noise_mm / self.rng.uniform(1.5, 7)
                film = -self.film_mm if inside or kind == "keyway" or key == "width_mm" else self.film_mm
            lost = 0.0
            if wear and key == "diameter_mm":
                lost = 2 * float(self.rng.exponential(0.06 * wear)) * (-1 if inside else 1)
                self.worn.add(name)
            seen = (value + off) * (1 + self.scale) + film - lost + u * self.rng.standard_t(5) * 0.775
            found.append(Size(key, seen, seen - (1.4 * wear if key == "diameter_mm" else 0.0), u))
            self.nominal[name, key] = value
            if odd:
                self.odd.add((name, key))
        self.features.append(
            Feature(
                id=name, kind=kind, sizes=tuple(found), axis=X, at_mm=((low + high) / 2, 0.0, 0.0),
                along_mm=(low, high),
                on=on, inside=inside, wear_mm=wear, area_mm2=500.0,
                wear_along_mm=(low + 0.2 * (high - low), low + 0.8 * (high - low)) if wear else None,
            )
        )  # fmt: skip
        return name

    def worn_by(self, share: float) -> float:
        return float(self.rng.uniform(0.08, 0.35)) if self.rng.random() < share else 0.0


def set_part(rng: np.random.Generator, *, noise_mm: float = 0.035) -> Truth:
    """One housing, hub or shaft with parts that belong on it, drawn, made, used and scanned."""
    bench = Bench(
        rng, str(rng.choice(["metric", "tenths", "inch", "mixed"], p=[0.6, 0.14, 0.14, 0.12])),
        float(rng.choice([0.01, 0.04, 0.12], p=[0.5, 0.38, 0.12])), float(rng.uniform(-0.01, 0.045)),
        float(rng.normal(0, 2e-4)), noise_mm,
    )  # fmt: skip
    kind = str(rng.choice(["housing", "hub", "shaft"]))
    {"housing": housing, "hub": hub, "shaft": shaft}[kind](bench)
    length = max(f.along_mm[1] for f in bench.features if f.along_mm is not None)
    part = Part(
        name=kind, kind="scan", unit=UnitSaid("mm", "sure", because("nominal.metric")), size_mm=(length, 100.0, 100.0),
        volume_mm3=None, features=tuple(bench.features), axisymmetric=True, noise_mm=noise_mm,
    )  # fmt: skip
    return Truth(part, bench.nominal, frozenset(bench.odd), frozenset(bench.worn))


def housing(bench: Bench) -> None:
    """An outside, a bearing's or a plain bore, now and then a ring's groove and a seal's bore beside it."""
    rng = bench.rng
    for _ in range(2):
        outside, odd = bench.drawn(80, 110)
        long, odd_long = bench.drawn(12, 30)
        bench.add("shaft", [("diameter_mm", outside, None, odd), ("length_mm", long, None, odd_long)], 0, long)
    at = 0.0
    inner = 20.0
    if bench.system != "inch" and rng.random() < 0.6:
        bore, outside, width = BEARINGS[rng.integers(len(BEARINGS))]
        inner = float(bore)
        ring = next((r for r in RINGS_IN if r[0] == outside), None) if rng.random() < 0.5 else None
        long, odd = (float(width), False) if rng.random() < 0.6 else bench.drawn(width, width + 12)
        name = bench.add(
            "bore", [("diameter_mm", float(outside), (0.0, 0.025), False), ("length_mm", long, None, odd)], 0, long,
            inside=True, wear=bench.worn_by(0.25),
        )  # fmt: skip
        at = long
        if ring:
            bench.add(
                "groove",
                [("width_mm", ring[2], (0.0, 0.12), False), ("diameter_mm", ring[1], (0.0, 0.15), False)],
                at, at + ring[2], on=name, inside=True,
            )  # fmt: skip
            at += ring[2]
    else:
        size, odd = bench.drawn(25, 60)
        long, odd_long = bench.drawn(8, 30)
        bench.add(
            "bore", [("diameter_mm", size, None, odd), ("length_mm", long, None, odd_long)], 0, long, inside=True,
            wear=bench.worn_by(0.25),
        )  # fmt: skip
        at = long
    if bench.system != "inch" and rng.random() < 0.5:
        near = min(SEALS, key=lambda s: abs(s[0] - inner))
        bench.add(
            "bore", [("diameter_mm", float(near[1]), (0.0, 0.03), False), ("length_mm", float(near[2]), None, False)],
            at, at + near[2], inside=True,
        )  # fmt: skip
    size, odd = bench.drawn(10, 24)
    long, odd_long = bench.drawn(8, 20)
    bench.add(
        "bore", [("diameter_mm", size, None, odd), ("length_mm", long, None, odd_long)], at + 10, at + 10 + long,
        inside=True,
    )  # fmt: skip


def hub(bench: Bench) -> None:
    """An outside with a collar, a bore with a key in it."""
    rng = bench.rng
    at = 0.0
    for low, high in ((40, 60), (70, 100)):
        outside, odd = bench.drawn(low, high)
        long, odd_long = bench.drawn(10, 30)
        bench.add("shaft", [("diameter_mm", outside, None, odd), ("length_mm", long, None, odd_long)], at, at + long)
        at += long
    size, odd = bench.drawn(13, 40)
    key = next((k for k in KEYS if size <= k[0]), None)
    name = bench.add(
        "bore", [("diameter_mm", size, (0.0, 0.021), odd), ("length_mm", at, None, False)], 0, at, inside=True,
        wear=bench.worn_by(0.3),
    )  # fmt: skip
    bench.odd.add((name, "length_mm"))
    if key is not None:
        standard = bench.system != "inch" and rng.random() < 0.85
        width, depth = (key[1], key[3]) if standard else (bench.drawn(key[1] - 1, key[1] + 1.5)[0], key[3] + 0.4)
        bench.add(
            "keyway", [("width_mm", width, (-0.018, 0.03), False), ("depth_mm", depth, (0.0, 0.2), not standard)],
            0, at, on=name, inside=True,
        )  # fmt: skip


def shaft(bench: Bench) -> None:
    """A stepped shaft with a seat, grooves for rings, O-rings or nothing in particular, a keyway."""
    rng = bench.rng
    at = 0.0
    for _ in range(int(rng.integers(3, 6))):
        seat = bench.system != "inch" and rng.random() < 0.35
        size, odd = bench.drawn(14, 45)
        long, odd_long = bench.drawn(10, 50)
        if seat:
            bore, _, width = BEARINGS[rng.integers(len(BEARINGS))]
            size, odd = float(bore), False
            if rng.random() < 0.6:
                long, odd_long = float(width), False
        made = (0.002, 0.018) if seat else None
        name = bench.add(
            "shaft", [("diameter_mm", size, made, odd), ("length_mm", long, None, odd_long)], at, at + long,
            wear=bench.worn_by(0.45 if seat else 0.12),
        )  # fmt: skip
        at += long
        what = rng.random()
        ring = next((r for r in RINGS_ON if abs(r[0] - size) < 1e-6), None)
        if what < 0.25 and ring is not None:
            sizes = [("width_mm", ring[2], (0.0, 0.12), False), ("diameter_mm", ring[1], (-0.15, 0.0), False)]
            bench.add("groove", sizes, at, at + ring[2], on=name)
        elif what < 0.40:
            _, deep, wide = CORDS[rng.integers(len(CORDS))]
            sizes = [("width_mm", wide, (0.0, 0.2), False), ("diameter_mm", size - 2 * deep, (-0.05, 0.05), False)]
            bench.add("groove", sizes, at, at + wide, on=name)
            at += wide
        elif what < 0.55:
            wide, odd_wide = bench.drawn(2, 6)
            floor, odd_floor = bench.drawn(size - 5, size - 1.5)
            sizes = [("width_mm", wide, None, odd_wide), ("diameter_mm", floor, None, odd_floor)]
            bench.add("groove", sizes, at, at + wide, on=name)
            at += wide
        elif what < 0.70 and not seat and long > 20:
            key = next((k for k in KEYS if size <= k[0]), None)
            if key is not None and bench.system != "inch":
                sizes = [("width_mm", float(key[1]), (-0.036, 0.0), False), ("depth_mm", key[2], (0.0, 0.2), False)]
                bench.add("keyway", sizes, at - long + 3, at - 3, on=name)
