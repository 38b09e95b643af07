"""How fast and how hard: cutting speeds, feeds and saw rates by material group, as bands.

Ranges to begin from, not limits: the tool maker's own figures come first, and the machine, the holding and the coolant
decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Literal

from steadyrest.tables.rows import Row, rows

Work = Literal["turn", "drill", "mill"]
ToolMaterial = Literal["hss", "carbide"]
Cut = Literal["rough", "finish"]

MM_PER_FT = 304.8
CM2_PER_IN2 = 6.4516


@dataclass(frozen=True, slots=True)
class Band:
    """A printed range, low to high, in the unit that its function names, and its source."""

    low: float
    high: float
    source: str
    standing: str

    @property
    def middle(self) -> float:
        """The geometric middle: as many times above the low end as below the high end."""
        return (self.low * self.high) ** 0.5


@dataclass(frozen=True, slots=True)
class SawRate:
    """Bimetal band: speed of the band in m/min, and area sawn in cm2/min in solid bar."""

    band_m_min: Band
    area_cm2_min: Band


def cutting_speed(group: int, *, work: Work, tool: ToolMaterial) -> Band | None:
    """Cutting speed for a material group, m/min.

    Args:
        group: VDI 3323 group.
        work: "turn", "drill" or "mill".
        tool: "hss" or "carbide".
    Returns: the band in m/min; None where the tool does not cut the group.
    """
    return _speeds().get((group, work, tool))


def turning_feed(group: int, cut: Cut) -> Band:
    """Feed in turning, mm per revolution.

    Args:
        group: VDI 3323 group.
        cut: "rough" or "finish".
    Returns: the band in mm/rev.
    Raises: KeyError: no such group.
    """
    letter = _letter(group)
    row = next(r for r in rows("turning_feeds") if r.text("iso_letter") == letter and r.text("cut") == cut)
    return _band(row, "low_mm", "high_mm")


def drill_feed(group: int, diameter_mm: float) -> float:
    """Feed of a drill, mm per revolution: between printed diameters in a straight line, outside in proportion.

    Args:
        group: VDI 3323 group.
        diameter_mm: of the drill; > 0.
    Returns: mm/rev; no more than printed for the largest drill.
    Raises: KeyError: no such group. ValueError: diameter not positive.
    """
    family = _family(group).text("drilling")
    printed = [(r.number("diameter_mm"), r.number("feed_mm_rev")) for r in _of(rows("drill_feeds"), family)]
    return _between(printed, diameter_mm)


def milling_feed(group: int, diameter_mm: float) -> Band:
    """Feed per tooth of a slot drill or end mill in a full slot, mm.

    Args:
        group: VDI 3323 group.
        diameter_mm: of the cutter; > 0.
    Returns: the band in mm per tooth, between printed diameters in a straight line, outside in proportion.
    Raises: KeyError: no such group. ValueError: diameter not positive.
    """
    printed = _milling_feeds(group)
    return Band(
        _between(printed.low, diameter_mm), _between(printed.high, diameter_mm), printed.source, printed.standing
    )


def saw_rate(group: int) -> SawRate:
    """Band speed and area sawn with a bimetal band and coolant.

    Args:
        group: VDI 3323 group, 1 to 37.
    Returns: both bands, in m/min and cm2/min.
    Raises: KeyError: no such group, or one that a bimetal band does not cut.
    """
    row = _covering("saw_rates", group)
    band = _band(row, "band_low_fpm", "band_high_fpm", MM_PER_FT / 1000)
    return SawRate(band, _band(row, "rate_low_in2_min", "rate_high_in2_min", CM2_PER_IN2))


@dataclass(frozen=True, slots=True)
class _Feeds:
    """What is printed for one family: (diameter, feed per tooth), mm, lowest and highest."""

    low: list[tuple[float, float]]
    high: list[tuple[float, float]]
    source: str
    standing: str


@cache
def _milling_feeds(group: int) -> _Feeds:
    printed = _of(rows("milling_feeds"), _family(group).text("milling"))
    low, high = (
        [(r.number("diameter_mm"), r.number(column)) for r in printed] for column in ("low_mm_tooth", "high_mm_tooth")
    )
    return _Feeds(low, high, printed[0].text("source"), printed[0].text("standing"))


@cache
def _speeds() -> dict[tuple[int, str, str], Band]:
    return {
        (int(row.number("group")), row.text("work"), row.text("tool")): _band(row, "low_m_min", "high_m_min")
        for row in rows("cutting_speeds")
    }


def _band(row: Row, low: str, high: str, factor: float = 1.0) -> Band:
    return Band(row.number(low) * factor, row.number(high) * factor, row.text("source"), row.text("standing"))


def _letter(group: int) -> str:
    found = next((r.text("iso_letter") for r in rows("material_groups") if int(r.number("group")) == group), None)
    if found is None:
        raise KeyError(group)
    return found


def _family(group: int) -> Row:
    return _covering("group_families", group)


def _covering(table: str, group: int) -> Row:
    found = next((r for r in rows(table) if r.number("group_from") <= group <= r.number("group_to")), None)
    if found is None:
        raise KeyError(group)
    return found


def _of(table: tuple[Row, ...], family: str) -> list[Row]:
    return [row for row in table if row.text("family") == family]


def _between(printed: list[tuple[float, float]], diameter_mm: float) -> float:
    """In a straight line between printed points, in proportion below the first, level above the last."""
    if diameter_mm <= 0:
        raise ValueError(f"diameter_mm {diameter_mm!r} must be positive")
    first, last = printed[0], printed[-1]
    if diameter_mm <= first[0]:
        return first[1] * diameter_mm / first[0]
    for (a, at_a), (b, at_b) in pairwise(printed):
        if diameter_mm <= b:
            return at_a + (at_b - at_a) * (diameter_mm - a) / (b - a)
    return last[1]
