"""Threads of other forms: parallel pipe threads (55 degrees, ISO 228-1), trapezoidal screws (30 degrees, ISO 2904)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class OtherThread:
    """A thread. form: "pipe" or "trapezoidal". major_mm: basic outside diameter of the screw."""

    name: str
    form: str
    major_mm: float
    pitch_mm: float
    source: str
    standing: str


@cache
def other_threads() -> tuple[OtherThread, ...]:
    """All kept, pipe threads first, by diameter."""
    return tuple(
        OtherThread(
            name=row.text("name"),
            form=row.text("form"),
            major_mm=row.number("major_mm"),
            pitch_mm=row.number_or_none("pitch_mm") or units.MM_PER_IN / row.number("per_inch"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("threads_other")
    )
