"""Grooves for O-rings, and lip seals for turning shafts (DIN 3760)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.rows import rows

GlandUse = Literal["static radial", "static face", "moving"]


@dataclass(frozen=True, slots=True)
class Gland:
    """A groove for an O-ring of one cord.

    cord_mm: thickness of the ring. depth_mm: smallest and largest, from the surface it seals against to the floor;
    the gap between the parts is part of it. width_mm: smallest and largest.
    """

    cord_mm: float
    use: GlandUse
    depth_mm: tuple[float, float]
    width_mm: tuple[float, float]
    system: Literal["mm", "in"]
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class LipSeal:
    """A lip seal. shaft_mm it runs on, housing_mm it is pressed into, width_mm along the shaft."""

    shaft_mm: float
    housing_mm: float
    width_mm: float
    source: str
    standing: str

    @property
    def name(self) -> str:
        return f"{self.shaft_mm:g}x{self.housing_mm:g}x{self.width_mm:g}"


@cache
def glands() -> tuple[Gland, ...]:
    """All O-ring grooves kept: static radial, static face, moving, by cord."""
    found: list[Gland] = []
    for row in rows("oring_glands"):
        system: Literal["mm", "in"] = "in" if row.text("unit") == "in" else "mm"
        mm = units.MM_PER_IN if system == "in" else 1.0
        use: GlandUse = "moving"
        if row.text("use") == "static radial":
            use = "static radial"
        elif row.text("use") == "static face":
            use = "static face"
        found.append(
            Gland(
                cord_mm=mm * row.number("cord"),
                use=use,
                depth_mm=(mm * row.number("depth_low"), mm * row.number("depth_high")),
                width_mm=(mm * row.number("width_low"), mm * row.number("width_high")),
                system=system,
                source=row.text("source"),
                standing=row.text("standing"),
            )
        )
    return tuple(found)


def glands_like(width_mm: float, depth_mm: float, *, within_mm: float) -> tuple[Gland, ...]:
    """Which O-ring grooves one of this width and depth may be, the nearest first.

    Args:
        width_mm: along the axis (or across a face). depth_mm: radial, from the surface beside it: the gap to the
            mating part is not seen and lets a groove be shallower than printed by its half.
        within_mm: how far outside of the printed range either may be.
    Returns: grooves that fit, seen ones before those of common practice at equal distance.
    """

    def off(gland: Gland) -> float:
        return max(outside(width_mm, gland.width_mm), outside(depth_mm, gland.depth_mm))

    near = [gland for gland in glands() if off(gland) <= within_mm]
    return tuple(sorted(near, key=lambda gland: (off(gland), not gland.standing.startswith("seen"))))


def outside(value_mm: float, range_mm: tuple[float, float]) -> float:
    """How far a size lies outside of a range; 0 within."""
    return max(range_mm[0] - value_mm, value_mm - range_mm[1], 0.0)


@cache
def lip_seals() -> tuple[LipSeal, ...]:
    """All lip seals kept, by shaft."""
    return tuple(
        LipSeal(
            shaft_mm=row.number("shaft_mm"),
            housing_mm=row.number("housing_mm"),
            width_mm=row.number("width_mm"),
            source=row.text("source"),
            standing=row.text("standing"),
        )
        for row in rows("lip_seals")
    )


def lip_seals_on(shaft_mm: float, within_mm: float = 0.05) -> tuple[LipSeal, ...]:
    """Lip seals that run on a shaft of this diameter.

    Args:
        shaft_mm: its nominal. within_mm: how far off it may be.
    Returns: seals, by housing.
    """
    return tuple(seal for seal in lip_seals() if abs(seal.shaft_mm - shaft_mm) <= within_mm)


def lip_seals_in(housing_mm: float, within_mm: float = 0.05) -> tuple[LipSeal, ...]:
    """Lip seals that are pressed into a bore of this diameter.

    Args:
        housing_mm: its nominal. within_mm: how far off it may be.
    Returns: seals, by shaft.
    """
    return tuple(seal for seal in lip_seals() if abs(seal.housing_mm - housing_mm) <= within_mm)
