"""Tapers with a name: Morse, and the ratios that drawings use."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class Taper:
    """A taper. ratio: change of diameter over length. large_mm, small_mm: at gauge line and plug end, if any."""

    name: str
    ratio: float
    large_mm: float | None
    small_mm: float | None
    note: str
    source: str
    standing: str

    @property
    def half_angle_rad(self) -> float:
        """Angle between the surface and the axis."""
        return math.atan(self.ratio / 2)


@cache
def tapers() -> tuple[Taper, ...]:
    """All tapers kept: Morse 0 to 7, then ratios."""
    return tuple(
        Taper(
            name=row.text("name"),
            ratio=row.number("rise") / row.number("run"),
            large_mm=_mm(row.number_or_none("large_in")),
            small_mm=_mm(row.number_or_none("small_in")),
            note=row.text("note"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("tapers")
    )


def _mm(inches: float | None) -> float | None:
    return None if inches is None else inches * units.MM_PER_IN
