"""Equal holes evenly round a centre: bolt circles of a flat part."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from steadyrest.shop.part import Pattern, Vec2

MOST_HOLES = 400  # of one size; more are a perforated plate
MOST_CENTRES = 12
ALIKE = 1e-4  # share of a diameter
EVEN_RAD = 2e-3
ROUND_MM = 1e-3
FEWEST, FEWEST_WITH_GAPS = 3, 5


@dataclass(frozen=True, slots=True)
class RoundHole:
    """A hole's feature id, where it is, and its diameter."""

    id: str
    at: Vec2
    diameter: float


def bolt_circles(holes: Sequence[RoundHole], centres: Sequence[tuple[Vec2, float]]) -> tuple[Pattern, ...]:
    """Holes of one size evenly round a centre; from five holes on some places of the circle may be empty.

    Args:
        holes: of one part.
        centres: (place, diameter) of circles that holes smaller than these may stand round, largest first.
    Returns: patterns P1, P2, ... largest count first, then largest circle.
    """
    found: list[tuple[int, float, tuple[str, ...]]] = []
    used: set[str] = set()
    for group in alike(holes):
        x, y = (math.fsum(h.at[k] for h in group) / len(group) for k in (0, 1))
        larger = [at for at, diameter in centres[:MOST_CENTRES] if diameter > group[0].diameter]
        for centre in (*larger, (x, y)):
            ring = ring_round([h for h in group if h.id not in used], centre)
            about_nothing = all(math.dist(centre, at) > 1e-3 * group[0].diameter for at in larger)
            if ring is not None and not (about_nothing and is_square(ring)):
                found.append((len(ring[1]), 2 * ring[0], ring[1]))
                used.update(ring[1])
    found.sort(key=lambda f: (-f[0], -f[1], f[2]))
    return tuple(
        Pattern(f"P{i}", "bolt circle", count, round(diameter, 9), names)
        for i, (count, diameter, names) in enumerate(found, 1)
    )


def is_square(ring: tuple[float, tuple[str, ...]]) -> bool:
    """Whether four holes are more likely the corners of a square: its side is a round size, the circle's is none."""
    radius, names = ring
    return len(names) == 4 and not is_round(2 * radius) and is_round(math.sqrt(2) * radius)


def is_round(size_mm: float) -> bool:
    """Whether a drawing would write it in whole mm or sixteenths of an inch."""
    return any(abs(size_mm / step - round(size_mm / step)) < ROUND_MM / step for step in (1.0, 25.4 / 16))


def alike(holes: Sequence[RoundHole]) -> list[list[RoundHole]]:
    """Holes of one diameter together, at least three and not too many."""
    groups: list[list[RoundHole]] = []
    for hole in sorted(holes, key=lambda h: (-h.diameter, h.at)):
        if groups and abs(groups[-1][0].diameter - hole.diameter) <= ALIKE * hole.diameter:
            groups[-1].append(hole)
        else:
            groups.append([hole])
    return [group for group in groups if FEWEST <= len(group) <= MOST_HOLES]


def ring_round(group: Sequence[RoundHole], centre: Vec2) -> tuple[float, tuple[str, ...]] | None:
    """The radius and ids of those of a group that stand evenly on one circle; the fullest circle."""
    if len(group) < FEWEST:
        return None
    offsets = np.array([(h.at[0] - centre[0], h.at[1] - centre[1]) for h in group])
    radii = np.hypot(offsets[:, 0], offsets[:, 1])
    best: tuple[float, tuple[str, ...]] | None = None
    for radius in sorted(set(radii.tolist()), reverse=True):
        on = np.flatnonzero(np.abs(radii - radius) <= EVEN_RAD / 2 * radius)
        if radius < group[0].diameter / 2 or len(on) < FEWEST or (best is not None and len(on) <= len(best[1])):
            continue
        turns = np.sort(np.arctan2(offsets[on, 1], offsets[on, 0]))
        if evenly(np.diff([*turns.tolist(), float(turns[0]) + 2 * math.pi])):
            names = sorted((group[int(i)].id for i in on), key=lambda name: int(name[1:]))
            best = float(radii[on].mean()), tuple(names)
    return best


def evenly(steps: np.ndarray[tuple[int], np.dtype[np.float64]]) -> bool:
    """Whether the steps between holes are whole places of a circle, all of it or at least half filled."""
    n = len(steps)
    for places in range(n, 2 * n + 1 if n >= FEWEST_WITH_GAPS else n + 1):
        place = 2 * math.pi / places
        if bool(np.all(np.abs(steps - place * np.round(steps / place)) < EVEN_RAD)) and bool(np.all(steps > place / 2)):
            return True
    return False
