"""Screw threads of the 60 degree form: metric (ISO 261, 724) and unified (ASME B1.1).

Diameters follow from diameter and pitch by the basic profile; tap drills are printed, or diameter less pitch.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import Row, rows
from steadyrest.trouble import BadInput

METRIC = re.compile(r"m\s*([0-9]+(?:[.,][0-9]+)?)(?:\s*[x×*]\s*([0-9]*[.,]?[0-9]+))?")


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread by its basic profile.

    name: "M10", "M10x1.25", "1/4-20". series: "coarse", "fine", "UNC", "UNF". tap_drill: its name, such as "#7".
    """

    name: str
    diameter_mm: float
    pitch_mm: float
    series: str
    tap_drill_mm: float
    tap_drill: str
    source: str
    standing: str

    @property
    def pitch_diameter_mm(self) -> float:
        """D2 = d2 = d - 0.649519 P."""
        return self.diameter_mm - 3 * math.sqrt(3) / 8 * self.pitch_mm

    @property
    def nut_minor_mm(self) -> float:
        """D1, basic minor diameter of the inside thread: d - 1.082532 P."""
        return self.diameter_mm - 5 * math.sqrt(3) / 8 * self.pitch_mm

    @property
    def screw_minor_mm(self) -> float:
        """d3, minor diameter of the outside thread with rounded root: d - 1.226869 P."""
        return self.diameter_mm - 17 * math.sqrt(3) / 24 * self.pitch_mm

    @property
    def stress_area_mm2(self) -> float:
        """Tensile stress area: pi/4 (d - 0.938194 P)^2."""
        return math.pi / 4 * (self.diameter_mm - 13 * math.sqrt(3) / 24 * self.pitch_mm) ** 2

    def percent(self, hole_mm: float) -> float:
        """Share of the full thread that a hole of this diameter leaves, percent: (d - hole) / 1.299 P."""
        return 100 * (self.diameter_mm - hole_mm) / (3 * math.sqrt(3) / 4 * self.pitch_mm)


@cache
def metric_threads() -> tuple[Thread, ...]:
    """Metric threads kept: coarse ones first, then fine ones, by diameter."""
    return tuple(_metric(row) for row in rows("threads_metric"))


@cache
def unified_threads() -> tuple[Thread, ...]:
    """Unified threads kept, by diameter."""
    return tuple(_unified(row) for row in rows("threads_unified"))


def find_thread(text: str, where: str = "thread") -> Thread:
    """The thread that a text names.

    Args:
        text: "M10", "M10x1.25", "m10 x 1,25", "1/4-20", "10-24 UNC".
        where: the field or key, for the line a person sees.
    Returns: the thread.
    Raises: BadInput: not a thread, or none that is kept.
    """
    plain = text.strip().lower()
    if match := METRIC.fullmatch(plain):
        diameter, pitch = (None if part is None else float(part.replace(",", ".")) for part in match.groups())
        for thread in metric_threads():
            if thread.diameter_mm == diameter and (thread.pitch_mm == pitch or (pitch is None and _coarse(thread))):
                return thread
    bare = re.sub(r"\s*un[cf]?$", "", plain)
    found = next((thread for thread in unified_threads() if thread.name == bare), None)
    if found is None:
        raise BadInput(where=where, what=f"“{text[:40]}” is no thread kept here.", do="Write M10, M10x1.25 or 1/4-20.")
    return found


def _coarse(thread: Thread) -> bool:
    return thread.series == "coarse"


def _metric(row: Row) -> Thread:
    diameter, pitch = row.number("diameter_mm"), row.number("pitch_mm")
    drill = row.number_or_none("tap_drill_mm") or diameter - pitch
    return Thread(
        name=f"M{diameter:g}" if row.text("series") == "coarse" else f"M{diameter:g}x{pitch:g}",
        diameter_mm=diameter,
        pitch_mm=pitch,
        series=row.text("series"),
        tap_drill_mm=drill,
        tap_drill=units.show_length(drill),
        source=row.text("source"),
        standing=row.text("standing"),
    )


def _unified(row: Row) -> Thread:
    return Thread(
        name=row.text("name"),
        diameter_mm=row.number("diameter_in") * units.MM_PER_IN,
        pitch_mm=units.MM_PER_IN / row.number("per_inch"),
        series=row.text("series"),
        tap_drill_mm=row.number("tap_drill_in") * units.MM_PER_IN,
        tap_drill=row.text("tap_drill"),
        source=row.text("source"),
        standing=row.text("standing"),
    )
