"""Roller chains with their sprockets, and timing belts with their pulleys."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import rows

LEAST_TEETH = 5


@dataclass(frozen=True, slots=True)
class Chain:
    """A roller chain. roller_mm: what sits in the sprocket's gaps; a chain of the same pitch may have another.

    sprocket_mm: thickness of a single sprocket's rim; None where the table has none.
    """

    name: str
    series: str
    pitch_mm: float
    roller_mm: float
    inner_width_mm: float
    sprocket_mm: float | None
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class Belt:
    """A timing belt. offset_mm: how far the pitch line lies outside of the pulley's teeth."""

    name: str
    pitch_mm: float
    offset_mm: float
    source: str
    standing: str


@cache
def chains() -> tuple[Chain, ...]:
    """All chains kept: ANSI B29.1, then ISO 606 series B, by pitch."""
    found: list[Chain] = []
    for row in rows("chain_pitches"):
        mm = units.MM_PER_IN if row.text("unit") == "in" else 1.0
        thickness = row.text("sprocket_thickness")
        found.append(
            Chain(
                name=row.text("name"),
                series=row.text("series"),
                pitch_mm=mm * _number(row.text("pitch")),
                roller_mm=mm * _number(row.text("roller")),
                inner_width_mm=mm * _number(row.text("inner_width")),
                sprocket_mm=mm * _number(thickness) if thickness else None,
                source=row.text("source"),
                standing=row.text("standing"),
            )
        )
    return tuple(found)


@cache
def belts() -> tuple[Belt, ...]:
    """All timing belts kept."""
    return tuple(
        Belt(
            name=row.text("name"),
            pitch_mm=row.number("pitch_mm"),
            offset_mm=row.number("pitch_line_offset_mm"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("belt_pitches")
    )


def sprocket_pitch_diameter(pitch_mm: float, teeth: int) -> float:
    """Diameter of the circle on which the rollers' centres lie: P / sin(180 / z).

    Args:
        pitch_mm: of the chain; > 0. teeth: of the sprocket; 5 or more.
    Returns: mm.
    Raises: ValueError: fewer teeth.
    Source: ansi-b29-1. Checked in tests/checks/test_tables_chains.py.
    """
    return pitch_mm / math.sin(math.pi / _counted(teeth))


def sprocket_outside_diameter(pitch_mm: float, teeth: int) -> float:
    """Diameter over the tips of a sprocket's teeth, about: P (0.6 + cot(180 / z)).

    Args:
        pitch_mm: of the chain; > 0. teeth: of the sprocket; 5 or more.
    Returns: mm.
    Raises: ValueError: fewer teeth.
    Source: ansi-b29-1.
    """
    return pitch_mm * (0.6 + 1 / math.tan(math.pi / _counted(teeth)))


def sprocket_rim_mm(chain: Chain) -> float:
    """Width of a single sprocket's rim: as printed, else 0.93 of the chain's inner width, from 1/2 in pitch up 0.95.

    Args:
        chain: whose sprocket.
    Returns: mm.
    Source: ansi-b29-1; iso-606, from memory. Checked in tests/checks/test_tables_chains.py.
    """
    if chain.sprocket_mm is not None:
        return chain.sprocket_mm
    return (0.93 if chain.pitch_mm <= units.MM_PER_IN / 2 + 1e-6 else 0.95) * chain.inner_width_mm


def sprocket_root_diameter(chain: Chain, teeth: int) -> float:
    """Diameter at the bottom of a sprocket's gaps: pitch diameter less the roller."""
    return sprocket_pitch_diameter(chain.pitch_mm, teeth) - chain.roller_mm


def pulley_pitch_diameter(pitch_mm: float, teeth: int) -> float:
    """Diameter of the circle that a timing belt's pitch line runs on: P z / pi.

    Args:
        pitch_mm: of the belt; > 0. teeth: of the pulley; 5 or more.
    Returns: mm.
    Raises: ValueError: fewer teeth.
    Source: belt-pitch. Checked in tests/checks/test_tables_chains.py.
    """
    return pitch_mm * _counted(teeth) / math.pi


def pulley_outside_diameter(belt: Belt, teeth: int) -> float:
    """Diameter over the teeth of a timing pulley: pitch diameter less twice the belt's offset."""
    return pulley_pitch_diameter(belt.pitch_mm, teeth) - 2 * belt.offset_mm


def pulleys_like(outside_mm: float, teeth: int, *, within_mm: float) -> tuple[Belt, ...]:
    """Timing belts whose pulley of so many teeth is as large over its teeth, the nearest first.

    Args:
        outside_mm: over the teeth. teeth: counted; 5 or more. within_mm: how far off it may be.
    Returns: belts.
    """

    def off(belt: Belt) -> float:
        return abs(pulley_outside_diameter(belt, teeth) - outside_mm)

    return tuple(sorted((belt for belt in belts() if off(belt) <= within_mm), key=off))


def sprockets_like(outside_mm: float, teeth: int, *, within_mm: float) -> tuple[Chain, ...]:
    """Chains whose sprocket of so many teeth is as large over its tips, the nearest first; one for each pitch.

    Args:
        outside_mm: over the tips. teeth: counted; 5 or more. within_mm: how far off it may be.
    Returns: chains.
    """

    def off(chain: Chain) -> float:
        return abs(sprocket_outside_diameter(chain.pitch_mm, teeth) - outside_mm)

    by_pitch = {round(chain.pitch_mm, 6): chain for chain in reversed(chains())}
    return tuple(sorted((chain for chain in by_pitch.values() if off(chain) <= within_mm), key=off))


def pitch_by_outside(outside_mm: float, teeth: int, offset_mm: float) -> float:
    """Pitch of the belt that runs on a pulley of so many teeth whose pitch line lies so far outside of them."""
    return math.pi * (outside_mm + 2 * offset_mm) / _counted(teeth)


def _counted(teeth: int) -> int:
    if teeth < LEAST_TEETH:
        raise ValueError(f"teeth must be at least {LEAST_TEETH}, is {teeth}")
    return teeth


def _number(text: str) -> float:
    """A printed number: decimal, or a fraction of an inch."""
    return float(Fraction(text))
