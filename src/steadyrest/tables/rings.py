"""Grooves for retaining rings, normal type: on shafts (DIN 471) and in bores (DIN 472)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest.tables.fits import limits
from steadyrest.tables.rows import rows

Where = Literal["shaft", "bore"]
# Zones of the groove's diameter by ring size, and of its width (DIN 471, DIN 472; seen in part, the rest from memory).
WIDTH_ZONE = "H13"


@dataclass(frozen=True, slots=True)
class RingGroove:
    """A ring groove. diameter_mm: of the shaft or bore. groove_mm: diameter at its bottom. width_mm: smallest."""

    on: Where
    diameter_mm: float
    groove_mm: float
    width_mm: float
    source: str
    standing: str

    def groove_limits_mm(self) -> tuple[float, float]:
        """Smallest and largest groove diameter."""
        if self.on == "bore":
            return limits(self.groove_mm, "H11" if self.diameter_mm <= 22 else "H12")
        grade = 10 if self.diameter_mm <= 10 else 11 if self.diameter_mm <= 22 else 12
        return limits(self.groove_mm, f"h{grade}")

    def width_limits_mm(self) -> tuple[float, float]:
        """Smallest and largest groove width."""
        return limits(self.width_mm, WIDTH_ZONE)


@cache
def ring_grooves(on: Where) -> tuple[RingGroove, ...]:
    """All grooves kept, by diameter.

    Args:
        on: "shaft" or "bore".
    Returns: the grooves.
    """
    return tuple(
        RingGroove(
            on=on,
            diameter_mm=row.number("diameter_mm"),
            groove_mm=row.number("groove_mm"),
            width_mm=row.number("width_mm"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("ring_grooves")
        if row.text("on") == on
    )


def ring_groove(on: Where, diameter_mm: float) -> RingGroove | None:
    """The groove for a shaft or bore of just this diameter; None where the table has none."""
    return next((groove for groove in ring_grooves(on) if abs(groove.diameter_mm - diameter_mm) < 1e-6), None)
