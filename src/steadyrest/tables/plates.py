"""Thicknesses of plate that merchants keep and saw blocks from."""

from __future__ import annotations

from functools import cache

from steadyrest.tables.rows import rows


@cache
def plate_thicknesses_mm() -> tuple[float, ...]:
    """Every thickness kept, the thinnest first."""
    return tuple(sorted(row.number("thickness_mm") for row in rows("plate_thicknesses")))


def plate_over_mm(thickness_mm: float) -> float | None:
    """The thinnest plate at least so thick.

    Args:
        thickness_mm: wanted.
    Returns: mm; None where none is kept so thick.
    """
    return next((kept for kept in plate_thicknesses_mm() if kept >= thickness_mm - 1e-9), None)
