"""A body that swings about one of its bores: how far its weight lies off the axis, what balances it, how fast it turns.

What is left unbalanced shakes the spindle with the square of its speed; what holds the work bears all of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from steadyrest.shop.figure import Figure, because, least
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.shop.part import Feature, Part
from steadyrest.tables.practice import rule

SQUARE = 0.999
G_M_S2 = 9.81


@dataclass(frozen=True, slots=True)
class Swung:
    """A body about one of its bores.

    mass_kg: of the body. off_mm: from the axis to its centre of gravity. radius_mm: to its farthest corner.
    length_mm: along the axis. across_mm: its two sides across. beside_mm: from the axis to its farther edge, for each.
    """

    mass_kg: float
    off_mm: float
    radius_mm: float
    length_mm: float
    across_mm: tuple[float, float]
    beside_mm: tuple[float, float]

    @property
    def heavy_kg_mm(self) -> float:
        """How much it is out of balance, kg mm."""
        return self.mass_kg * self.off_mm


def swung(part: Part, bore: Feature, *, density_kg_m3: float) -> Swung | None:
    """A body about one of its bores, from its cells.

    Args:
        part: with cells.
        bore: its axis is the spindle's.
        density_kg_m3: of its metal.
    Returns: its measures; None where it has no cells, or the bore stands slanted in it.
    """
    grid = part.grid
    if grid is None:
        return None
    along = [abs(sum(a * b for a, b in zip(bore.axis, way, strict=True))) for way in grid.frame]
    k = along.index(max(along))
    if along[k] < SQUARE:
        return None
    others = [n for n in range(3) if n != k]
    filled, at, pitch = grid.filled(), grid.at(bore.at_mm), grid.pitch_mm
    columns = filled.sum(axis=k)
    rows = np.flatnonzero(filled.any(axis=(others[0], others[1])))
    if rows.size == 0:
        return None
    first, second = np.nonzero(columns)
    weight = columns[first, second].astype(np.float64)
    x, y = (first + 0.5 - at[others[0]]) * pitch, (second + 0.5 - at[others[1]]) * pitch
    half = pitch / 2.0
    volume_mm3 = part.volume_mm3 or float(weight.sum()) * pitch**3
    return Swung(
        mass_kg=volume_mm3 * 1e-9 * density_kg_m3,
        off_mm=math.hypot(float(np.average(x, weights=weight)), float(np.average(y, weights=weight))),
        radius_mm=float(np.hypot(np.abs(x) + half, np.abs(y) + half).max()),
        length_mm=float(rows[-1] - rows[0] + 1) * pitch,
        across_mm=(float(x.max() - x.min()) + pitch, float(y.max() - y.min()) + pitch),
        beside_mm=(float(np.abs(x).max()) + half, float(np.abs(y).max()) + half),
    )


def weight_kg(body: Swung, at_mm: float) -> float:
    """The weight that balances it, on the other side.

    Args:
        body: what swings.
        at_mm: how far from the axis the weight sits; > 0.
    Returns: kg.
    """
    return body.heavy_kg_mm / at_mm


def fastest(machine: Machine, limits: LatheLimits, body: Swung, grip_n: float) -> Figure:
    """The fastest that a body may swing, once it is balanced by hand.

    Args:
        machine, limits: the lathe.
        body: what swings.
        grip_n: what holds it, friction and safety counted in; more than its weight.
    Returns: rpm, the least of what shakes, what the clamps hold, how fast corners pass, and the chuck or plate.
    Source: centrifugal force, mass times radius times the square of the angular speed.
    """
    left_mm = max(rule("balance_left_share") * body.off_mm, rule("balance_left_mm"))
    shakes_n = rule("shake_share") * limits.max_load_kg * G_M_S2
    shaking = because("turn.rpm_shakes", mass_kg=body.mass_kg, off_mm=left_mm, force_n=shakes_n)
    found = [
        Figure(_rpm(shakes_n, body.mass_kg * left_mm), "rpm", (shaking,)),
        Figure(rule("rim_m_min") * 500.0 / (math.pi * body.radius_mm), "rpm",
               (because("turn.rpm_rim", radius_mm=body.radius_mm, speed_m_min=rule("rim_m_min")),)),
        Figure(limits.chuck_max_rpm, "rpm", (because("turn.rpm_chuck"),)),
    ]  # fmt: skip
    if body.heavy_kg_mm > 0:
        spare_n = grip_n - body.mass_kg * G_M_S2
        held = because("turn.rpm_thrown", machine=machine.name, mass_kg=body.mass_kg, off_mm=body.off_mm, grip_n=grip_n)
        found.append(Figure(_rpm(spare_n, body.heavy_kg_mm), "rpm", (held,)))
    return least(found)


def _rpm(force_n: float, kg_mm: float) -> float:
    """The speed at which what is out of balance pulls with this force."""
    return math.sqrt(max(force_n, 0.0) * 1000.0 / kg_mm) * 30.0 / math.pi
