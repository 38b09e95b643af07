"""Reliefs: the groove where a thread runs out (DIN 76-1), the undercut at a ground shoulder (DIN 509)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class ThreadRelief:
    """A relief beside an outside thread of one pitch. under_mm: thread diameter less the relief's, h13.

    width_mm: smallest between the flanks, largest over all.
    """

    pitch_mm: float
    under_mm: float
    width_mm: tuple[float, float]
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class Undercut:
    """A relief at a shoulder, for shafts over and up to a diameter. deep_mm: radial."""

    radius_mm: float
    deep_mm: float
    width_mm: float
    over_mm: float
    upto_mm: float
    source: str
    standing: str

    @property
    def name(self) -> str:
        return f"{self.radius_mm:g} x {self.deep_mm:g}"


@cache
def thread_reliefs() -> tuple[ThreadRelief, ...]:
    """All thread reliefs kept, by pitch."""
    return tuple(
        ThreadRelief(
            row.number("pitch_mm"),
            row.number("under_mm"),
            (row.number("width_low_mm"), row.number("width_high_mm")),
            row.text("source"),
            row.text("standing"),
        )
        for row in rows("thread_reliefs")
    )


def thread_relief(pitch_mm: float) -> ThreadRelief | None:
    """The relief of an outside thread of this pitch; None where the table has none."""
    return next((one for one in thread_reliefs() if abs(one.pitch_mm - pitch_mm) < 1e-6), None)


def undercuts(diameter_mm: float) -> tuple[Undercut, ...]:
    """Undercuts that a shaft of this diameter may have at a shoulder.

    Args:
        diameter_mm: of the shaft.
    Returns: those whose range holds it.
    """
    return tuple(one for one in _undercuts() if one.over_mm < diameter_mm <= one.upto_mm)


@cache
def _undercuts() -> tuple[Undercut, ...]:
    return tuple(
        Undercut(
            row.number("radius_mm"),
            row.number("deep_mm"),
            row.number("width_mm"),
            row.number("over_mm"),
            row.number("upto_mm"),
            row.text("source"),
            row.text("standing"),
        )
        for row in rows("undercuts")
    )
