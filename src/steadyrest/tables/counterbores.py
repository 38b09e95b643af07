"""Counterbores for socket heads (DIN 974-1, series 1): wide enough for the head, deep enough to hide it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class Counterbore:
    """The step for the head of one bolt. bolt: its name, such as "M6". diameter_mm is made H13."""

    bolt: str
    diameter_mm: float
    depth_mm: float
    source: str
    standing: str


@cache
def all_counterbores() -> tuple[Counterbore, ...]:
    """All counterbores kept, by bolt."""
    return tuple(
        Counterbore(
            f"M{row.number('thread_mm'):g}",
            row.number("diameter_mm"),
            row.number("depth_mm"),
            row.text("source"),
            row.text("standing"),
        )
        for row in rows("counterbores")
    )


def counterbore(bolt: str) -> Counterbore | None:
    """The counterbore of a bolt named as "M6"; None where the table has none."""
    return next((one for one in all_counterbores() if one.bolt == bolt), None)
