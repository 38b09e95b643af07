"""Clearance holes for bolts and screws (ISO 273): fine, medium, coarse."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest.tables.rows import rows

BoltFit = Literal["fine", "medium", "coarse"]
BOLT_FITS: tuple[BoltFit, ...] = ("fine", "medium", "coarse")
# The hole's zone for each (ISO 273).
ZONES = {"fine": "H12", "medium": "H13", "coarse": "H14"}


@dataclass(frozen=True, slots=True)
class ClearanceHole:
    """A hole that a bolt goes through. thread_mm: of the bolt. zone: of the hole's tolerance (ISO 286)."""

    thread_mm: float
    fit: BoltFit
    hole_mm: float
    zone: str
    source: str
    standing: str


@cache
def clearance_holes(fit: BoltFit) -> tuple[ClearanceHole, ...]:
    """All clearance holes of one fit, by thread.

    Args:
        fit: "fine", "medium" or "coarse".
    Returns: the holes.
    """
    return tuple(
        ClearanceHole(
            thread_mm=row.number("thread_mm"),
            fit=fit,
            hole_mm=row.number(f"{fit}_mm"),
            zone=ZONES[fit],
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("clearance_holes")
    )


def clearance_hole(thread_mm: float, fit: BoltFit = "medium") -> ClearanceHole | None:
    """The hole for a bolt of just this diameter; None where the table has none."""
    return next((hole for hole in clearance_holes(fit) if abs(hole.thread_mm - thread_mm) < 1e-6), None)


def bolts_through(hole_mm: float, within_mm: float) -> tuple[ClearanceHole, ...]:
    """Which bolts a hole may be for, medium fit first, then the nearest.

    Args:
        hole_mm: the hole's diameter. within_mm: how far off it may be.
    Returns: clearance holes within that.
    """
    order = ("medium", "fine", "coarse")
    found = [hole for fit in BOLT_FITS for hole in clearance_holes(fit) if abs(hole.hole_mm - hole_mm) <= within_mm]
    return tuple(sorted(found, key=lambda hole: (order.index(hole.fit), abs(hole.hole_mm - hole_mm))))
