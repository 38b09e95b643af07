"""Sheet as it is bought: gauge numbers of steel, stainless and aluminium, and thicknesses in millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class Sheet:
    """A thickness that merchants keep. name: "16 gauge" or "3 mm". metal: that the number is for, or "any"."""

    name: str
    metal: str
    thickness_mm: float
    system: Literal["mm", "in"]
    source: str
    standing: str

    @property
    def shown(self) -> str:
        return self.name if self.metal == "any" else f"{self.name} {self.metal}"


@cache
def sheets() -> tuple[Sheet, ...]:
    """All thicknesses kept: by gauge number of each metal, then in millimetres."""
    found: list[Sheet] = []
    for row in rows("sheets"):
        system: Literal["mm", "in"] = "in" if row.text("unit") == "in" else "mm"
        thickness = row.number("thickness") * (units.MM_PER_IN if system == "in" else 1.0)
        found.append(
            Sheet(row.text("name"), row.text("metal"), thickness, system, row.text("source"), row.text("standing"))
        )
    return tuple(found)


def sheets_like(thickness_mm: float, *, within_mm: float) -> tuple[Sheet, ...]:
    """Which sheet a measured thickness may be, the nearest first.

    Args:
        thickness_mm: measured. within_mm: how far off it may be.
    Returns: sheets within that; several metals may share a thickness.
    """
    near = [sheet for sheet in sheets() if abs(sheet.thickness_mm - thickness_mm) <= within_mm]
    return tuple(sorted(near, key=lambda sheet: abs(sheet.thickness_mm - thickness_mm)))
