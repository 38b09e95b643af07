"""Clearance holes for bolts and screws: fine, medium, coarse (ISO 273), and the same three for inch bolts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.rows import Row, rows

System = Literal["mm", "in"]
BoltFit = Literal["fine", "medium", "coarse"]
SYSTEMS: tuple[System, ...] = ("mm", "in")
INCH_FITS = {"fine": "close", "medium": "normal", "coarse": "loose"}
BOLT_FITS: tuple[BoltFit, ...] = ("fine", "medium", "coarse")
# The hole's zone for each (ISO 273; ASME B18.2.8 takes the same three).
ZONES = {"fine": "H12", "medium": "H13", "coarse": "H14"}


@dataclass(frozen=True, slots=True)
class ClearanceHole:
    """A hole that a bolt goes through.

    thread_mm: diameter of the bolt. bolt: as it is called, "M6" or "1/4 in". zone: of the hole's tolerance (ISO 286).
    """

    thread_mm: float
    bolt: str
    fit: BoltFit
    hole_mm: float
    zone: str
    source: str
    standing: str


@cache
def clearance_holes(fit: BoltFit, system: System = "mm") -> tuple[ClearanceHole, ...]:
    """All clearance holes of one fit, by thread.

    Args:
        fit: "fine", "medium" or "coarse"; inch bolts call them close, normal and loose.
        system: "mm" for metric bolts, "in" for inch ones.
    Returns: the holes.
    Source: ISO 273; ASME B18.2.8.
    """
    if system == "mm":
        return tuple(
            hole_of(row, fit, row.number("thread_mm"), f"M{row.number('thread_mm'):g}", row.number(f"{fit}_mm"))
            for row in rows("clearance_holes")
        )
    return tuple(
        hole_of(
            row, fit, bolt_mm, units.show_length(bolt_mm, "in"), row.number(f"{INCH_FITS[fit]}_in") * units.MM_PER_IN
        )
        for row in rows("clearance_holes_inch")
        for bolt_mm in (row.number("bolt_in") * units.MM_PER_IN,)
    )


def hole_of(row: Row, fit: BoltFit, thread_mm: float, bolt: str, hole_mm: float) -> ClearanceHole:
    """One hole of a row."""
    return ClearanceHole(thread_mm, bolt, fit, round(hole_mm, 6), ZONES[fit], row.text("source"), row.text("standing"))


def clearance_hole(thread_mm: float, fit: BoltFit = "medium") -> ClearanceHole | None:
    """The hole for a metric bolt of just this diameter; None where the table has none."""
    return next((hole for hole in clearance_holes(fit) if abs(hole.thread_mm - thread_mm) < 1e-6), None)


def bolts_through(hole_mm: float, within_mm: float) -> tuple[ClearanceHole, ...]:
    """Which bolts a hole may be for, metric ones first, of these medium fit first, then the nearest.

    Args:
        hole_mm: the hole's diameter. within_mm: how far off it may be.
    Returns: clearance holes within that.
    """
    order = ("medium", "fine", "coarse")
    found = [
        (k, hole)
        for k, system in enumerate(SYSTEMS)
        for fit in BOLT_FITS
        for hole in clearance_holes(fit, system)
        if abs(hole.hole_mm - hole_mm) <= within_mm
    ]
    found.sort(key=lambda one: (one[0], order.index(one[1].fit), abs(one[1].hole_mm - hole_mm)))
    return tuple(hole for _, hole in found)
