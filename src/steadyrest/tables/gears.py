"""Sizes of teeth that spur gears are cut to: modules and diametral pitches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.rows import rows

GearSystem = Literal["module", "diametral pitch"]


@dataclass(frozen=True, slots=True)
class GearSize:
    """One size of tooth. size: the module in mm, or teeth for each inch of pitch diameter. series: 1 first choice."""

    system: GearSystem
    series: int
    size: float
    source: str
    standing: str

    @property
    def module_mm(self) -> float:
        """Pitch diameter over teeth."""
        return self.size if self.system == "module" else units.MM_PER_IN / self.size


@cache
def gear_sizes() -> tuple[GearSize, ...]:
    """All sizes kept, modules first."""
    return tuple(
        GearSize(
            system="module" if row.text("system") == "module" else "diametral pitch",
            series=int(row.number("series")),
            size=row.number("size"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("gear_sizes")
    )


def outside_diameter(module_mm: float, teeth: int) -> float:
    """Diameter over the tips of a spur gear without profile shift, full depth: m (z + 2).

    Args:
        module_mm: > 0. teeth: how many.
    Returns: mm.
    Source: iso-54, whose modules it is for; the tooth of one module above the pitch circle is that of ISO 53.
    """
    return module_mm * (teeth + 2)
