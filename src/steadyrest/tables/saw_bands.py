"""Which teeth a saw band should have for the width in the cut."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from steadyrest import units
from steadyrest.tables.rows import rows


@dataclass(frozen=True, slots=True)
class Band:
    """A band of changing pitch. teeth: fewest and most to the inch, as bands are sold. over_mm, to_mm: of the width."""

    teeth: tuple[float, float]
    over_mm: float
    to_mm: float
    source: str

    @property
    def shown(self) -> str:
        return f"{self.teeth[0]:g}/{self.teeth[1]:g}"

    def in_cut(self, width_mm: float) -> float:
        """Teeth in the cut at once, at its middle pitch."""
        return width_mm / units.MM_PER_IN * sum(self.teeth) / 2.0


@cache
def bands() -> tuple[Band, ...]:
    """Every band of the table, the finest first."""
    return tuple(
        Band(
            (row.number("teeth_low"), row.number("teeth_high")), row.number("from_mm"), row.number("to_mm"),
            row.text("source"),
        )
        for row in rows("saw_bands")
    )  # fmt: skip


def band_for(width_mm: float) -> Band:
    """The band for a width in the cut.

    Args:
        width_mm: how much of the section the band crosses at once; > 0.
    Returns: the band; the coarsest for what is wider than all.
    """
    return next((band for band in bands() if width_mm <= band.to_mm), bands()[-1])
