"""Parallel keys and their keyways: metric (ISO 773, DIN 6885-1) and inch (ANSI B17.1).

A keyway's depth is told at its centre line, from the full cylinder. The metric print tells it so; the inch print tells
it from the keyway's edge, and S and T are what a micrometer reads: bottom of the keyseat to the far side of shaft or
bore. A metric keyway's width goes by ISO 286 zones.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.fits import limits
from steadyrest.tables.rows import Row, rows

Hold = Literal["close", "normal", "free"]
Place = Literal["shaft", "hub"]

KEYWAY_ZONES = {
    ("shaft", "close"): "P9", ("shaft", "normal"): "N9", ("shaft", "free"): "H9",
    ("hub", "close"): "P9", ("hub", "normal"): "JS9", ("hub", "free"): "D10",
}  # fmt: skip
# How much deeper than half a key the hub is cut, so that the key does not carry at its top (ANSI B17.1 table 2).
HUB_CLEARANCE_IN = 0.005
# Tolerance of S and T, from memory.
DEPTH_PLUS_IN = 0.015


@dataclass(frozen=True, slots=True)
class Key:
    """A parallel key and the shafts it is for: over `over_mm` up to and including `upto_mm`.

    sunk_shaft_mm, sunk_hub_mm: how deep it sits, from the cylinder's crest (metric) or from the keyway's edge (inch).
    depth_plus_mm: how much deeper either may be. system: "mm" or "in". shown: width x height as a person writes it.
    """

    system: units.LengthUnit
    over_mm: float
    upto_mm: float
    width_mm: float
    height_mm: float
    sunk_shaft_mm: float
    sunk_hub_mm: float
    depth_plus_mm: float
    shown: str
    source: str
    standing: str

    def shaft_depth_mm(self, shaft_mm: float) -> float:
        """Depth of the shaft's keyway at its centre line, from the full cylinder of this diameter.

        Args:
            shaft_mm: shaft diameter; an inch key's depth depends on it, a metric one's does not.
        Returns: depth in mm.
        Raises: ValueError: the key is wider than the shaft.
        """
        return self.sunk_shaft_mm + self._arc_mm(shaft_mm)

    def hub_depth_mm(self, shaft_mm: float) -> float:
        """Depth of the hub's keyway at its centre line, from the full bore of this diameter.

        Args:
            shaft_mm: bore diameter; an inch key's depth depends on it, a metric one's does not.
        Returns: depth in mm.
        Raises: ValueError: the key is wider than the bore.
        """
        return self.sunk_hub_mm - self._arc_mm(shaft_mm)

    def _arc_mm(self, shaft_mm: float) -> float:
        return 0.0 if self.system == "mm" else keyseat_chord(shaft_mm, self.width_mm)


@cache
def metric_keys() -> tuple[Key, ...]:
    """All metric keys, by shaft."""
    return tuple(_metric(row) for row in rows("keys_metric"))


@cache
def inch_keys(*, flat: bool = False) -> tuple[Key, ...]:
    """All inch keys, by shaft.

    Args:
        flat: rectangular keys instead of square ones.
    Returns: the keys; depths are half the key each, the hub's with its clearance.
    """
    column = "flat_height_in" if flat else "square_height_in"
    return tuple(_inch(row, column) for row in rows("keys_inch") if row.text(column))


def key_for(shaft_mm: float, system: units.LengthUnit = "mm") -> Key | None:
    """The parallel key of a shaft.

    Args:
        shaft_mm: shaft diameter.
        system: "mm" or "in" (square keys).
    Returns: the key; None where the table has none.
    Source: DIN 6885-1, ANSI B17.1. Checked in tests/checks/test_tables_keys.py.
    """
    keys = metric_keys() if system == "mm" else inch_keys()
    return next((key for key in keys if key.over_mm + 1e-9 < shaft_mm <= key.upto_mm + 1e-9), None)


def keyway_zone(place: Place, hold: Hold = "normal") -> str:
    """ISO 286 zone of a metric keyway's width.

    Args:
        place: "shaft" or "hub".
        hold: "close" (P9 in both), "normal" (N9, JS9) or "free" (H9, D10; the key slides).
    Returns: the zone.
    Source: DIN 6885-1 (seen in part; free from memory).
    """
    return KEYWAY_ZONES[place, hold]


def keyway_width_limits(width_mm: float, place: Place, hold: Hold = "normal") -> tuple[float, float]:
    """Smallest and largest width of a metric keyway, mm.

    Args:
        width_mm: nominal width of the key.
        place: "shaft" or "hub".
        hold: "close", "normal" or "free".
    Returns: (low, high) in mm.
    """
    return limits(width_mm, keyway_zone(place, hold))


def keyseat_chord(shaft: float, width: float) -> float:
    """Height of the arc over a keyseat: from the full cylinder down to the keyseat's edges.

    Args:
        shaft: diameter D, in any unit; > 0.
        width: key width W in the same unit; at most D.
    Returns: Y = (D - sqrt(D^2 - W^2)) / 2, in that unit.
    Raises: ValueError: the key is wider than the shaft.
    """
    if not 0 < width <= shaft:
        raise ValueError(f"keyseat_chord: width {width!r} must be positive and at most the shaft's {shaft!r}")
    return (shaft - math.sqrt(shaft**2 - width**2)) / 2


def keyseat_depth_shaft_in(shaft_in: float, width_in: float, height_in: float) -> float:
    """Depth control S of a shaft: bottom of the keyseat to the far side, in.

    Args:
        shaft_in: diameter D.
        width_in: key width W.
        height_in: key height H.
    Returns: S = D - Y - H/2.
    Source: ANSI B17.1. Checked in tests/checks/test_tables_keys.py.
    """
    return shaft_in - keyseat_chord(shaft_in, width_in) - height_in / 2


def keyseat_depth_hub_in(shaft_in: float, width_in: float, height_in: float) -> float:
    """Depth control T of a hub: bottom of the keyseat to the far side of the bore, in.

    Args:
        shaft_in: bore diameter D.
        width_in: key width W.
        height_in: key height H.
    Returns: T = D - Y + H/2 + 0.005.
    Source: ANSI B17.1. Checked in tests/checks/test_tables_keys.py.
    """
    return shaft_in - keyseat_chord(shaft_in, width_in) + height_in / 2 + HUB_CLEARANCE_IN


def _metric(row: Row) -> Key:
    width, height = row.number("width_mm"), row.number("height_mm")
    return Key(
        system="mm",
        over_mm=row.number("over_mm"),
        upto_mm=row.number("upto_mm"),
        width_mm=width,
        height_mm=height,
        sunk_shaft_mm=row.number("shaft_depth_mm"),
        sunk_hub_mm=row.number("hub_depth_mm"),
        depth_plus_mm=row.number("depth_plus_mm"),
        shown=f"{width:g} x {height:g}",
        source=row.text("source"),
        standing=row.text("standing"),
    )


def _inch(row: Row, column: str) -> Key:
    height_mm = units.parse_length(row.text(column), "in")
    return Key(
        system="in",
        over_mm=units.parse_length(row.text("over_in"), "in"),
        upto_mm=units.parse_length(row.text("upto_in"), "in"),
        width_mm=units.parse_length(row.text("width_in"), "in"),
        height_mm=height_mm,
        sunk_shaft_mm=height_mm / 2,
        sunk_hub_mm=height_mm / 2 + HUB_CLEARANCE_IN * units.MM_PER_IN,
        depth_plus_mm=DEPTH_PLUS_IN * units.MM_PER_IN,
        shown=f"{row.text('width_in')} x {row.text(column)} in",
        source=row.text("source"),
        standing=row.text("standing"),
    )
