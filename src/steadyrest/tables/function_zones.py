"""Zones by function: which ISO 286 zone a surface gets for what runs, sits or seals on it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest.tables.rows import rows

Use = Literal[
    "bearing seat, ring turns", "bearing seat, ring stands", "housing, ring stands", "housing, ring turns", "seal seat",
    "seal housing", "hub bore", "keyed shaft", "running shaft", "running bore", "inch keyway", "bright bar",
    "O-ring floor on shaft", "O-ring floor in bore", "thread relief floor",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class UseZone:
    """The zone of one use, for sizes over and up to. note: what else is usual."""

    use: str
    over_mm: float
    upto_mm: float
    zone: str
    source: str
    standing: str
    note: str


def zone_for(use: Use, size_mm: float) -> UseZone | None:
    """The zone of a use at one size.

    Args:
        use: what the surface is for.
        size_mm: its nominal.
    Returns: the zone with its source; None beyond the table.
    """
    return next((one for one in use_zones() if one.use == use and one.over_mm < size_mm <= one.upto_mm), None)


@cache
def use_zones() -> tuple[UseZone, ...]:
    """All rows, in the order of the table."""
    return tuple(
        UseZone(
            row.text("use"),
            row.number("over_mm"),
            row.number("upto_mm"),
            row.text("zone"),
            row.text("source"),
            row.text("standing"),
            row.text("note"),
        )
        for row in rows("function_zones")
    )
