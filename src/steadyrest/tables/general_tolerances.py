"""ISO 2768-1: what a size without limits of its own is allowed to be off by.

Classes f (fine), m (medium), c (coarse), v (very coarse). Steps are "over ... up to and including", from 0.5 mm.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from typing import Literal

from steadyrest.tables.rows import rows

ToleranceClass = Literal["f", "m", "c", "v"]


def general_tolerance_mm(size_mm: float, klass: ToleranceClass = "m") -> float | None:
    """Deviation allowed either way on a length or diameter.

    Args:
        size_mm: nominal size.
        klass: "f", "m", "c" or "v".
    Returns: plus and minus, mm; None where the standard wants it written at the size itself.
    Source: ISO 2768-1 table 1. Checked in tests/checks/test_tables_general.py.
    """
    return _printed("iso2768_linear", size_mm, f"{klass}_mm", from_mm=0.5)


def broken_edge_mm(size_mm: float, klass: ToleranceClass = "m") -> float | None:
    """Deviation allowed either way on a chamfer's height or an outside radius.

    Args:
        size_mm: nominal height or radius.
        klass: "f", "m", "c" or "v".
    Returns: plus and minus, mm; None below 0.5 mm.
    Source: ISO 2768-1 table 2. Checked in tests/checks/test_tables_general.py.
    """
    return _printed("iso2768_edges", size_mm, f"{klass}_mm", from_mm=0.5)


def angle_tolerance_rad(shorter_leg_mm: float, klass: ToleranceClass = "m") -> float | None:
    """Deviation allowed either way on an angle.

    Args:
        shorter_leg_mm: length of the angle's shorter leg.
        klass: "f", "m", "c" or "v".
    Returns: plus and minus, radians; None if the leg has no length.
    Source: ISO 2768-1 table 3. Checked in tests/checks/test_tables_general.py.
    """
    minutes = _printed("iso2768_angles", shorter_leg_mm, f"{klass}_min", from_mm=0.0)
    return None if minutes is None else math.radians(minutes / 60)


@lru_cache(4096)  # a plan asks for the same few sizes over and over
def _printed(table: str, size_mm: float, column: str, *, from_mm: float) -> float | None:
    if size_mm < from_mm or size_mm <= 0:
        return None
    return next((off for upto, off in _steps(table, column) if upto is None or size_mm <= upto), None)


@cache
def _steps(table: str, column: str) -> tuple[tuple[float | None, float | None], ...]:
    """Up to and including which size, and what a column prints for it; None for no upper end, and for an empty cell."""
    return tuple((row.number_or_none("upto_mm"), row.number_or_none(column)) for row in rows(table))
