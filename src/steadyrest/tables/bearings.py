"""Deep-groove ball bearings: bore, outside, width by code (ISO 15), and inch ones (series R and light)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class Bearing:
    """A deep-groove ball bearing. code: such as "6205"; series 618, 619, 60, 62, 63 and small ones."""

    code: str
    bore_mm: float
    outside_mm: float
    width_mm: float
    source: str
    standing: str


@cache
def bearings() -> tuple[Bearing, ...]:
    """All bearings kept, by code within a bore."""
    return tuple(
        Bearing(
            row.text("code"),
            row.number("bore_mm"),
            row.number("outside_mm"),
            row.number("width_mm"),
            row.text("source"),
            row.text("standing"),
        )
        for row in rows("bearings")
    )


@cache
def inch_bearings() -> tuple[Bearing, ...]:
    """All inch bearings kept, by series and bore."""
    return tuple(
        Bearing(
            row.text("code"),
            units.parse_length(row.text("bore_in"), "in"),
            units.parse_length(row.text("outside_in"), "in"),
            units.parse_length(row.text("width_in"), "in"),
            row.text("source"),
            row.text("standing"),
        )
        for row in rows("bearings_inch")
    )


def bearing(code: str) -> Bearing | None:
    """The bearing of this code, suffixes cut ("6205-2RS", "6205 ZZ"); None if it is not kept."""
    plain = code.strip().upper().split("-")[0].split(" ")[0]
    digits = "".join(char for char in plain if char.isdigit())
    return next((one for one in bearings() if one.code == digits), None)


def bearings_on(shaft_mm: float, within_mm: float = 0.0) -> tuple[Bearing, ...]:
    """Bearings whose bore is this shaft's size, within a margin."""
    return tuple(one for one in bearings() if abs(one.bore_mm - shaft_mm) <= within_mm)


def bearings_in(bore_mm: float, within_mm: float = 0.0) -> tuple[Bearing, ...]:
    """Bearings whose outside is this housing's size, within a margin."""
    return tuple(one for one in bearings() if abs(one.outside_mm - bore_mm) <= within_mm)
