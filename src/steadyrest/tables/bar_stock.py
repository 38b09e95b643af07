"""Sizes that bar is sold in, metric and inch, with the condition and how true it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from steadyrest import units
from steadyrest.tables.fits import limits
from steadyrest.tables.rows import Row, rows

Shape = Literal["round", "square", "hexagon", "flat"]
Condition = Literal["bright drawn", "hot rolled", "peeled", "turned and ground"]


@dataclass(frozen=True, slots=True)
class BarSize:
    """A size of bar. size_mm: (diameter,), (side,), (across flats,) or (width, thickness), as Piece.size_mm.

    tolerance: as sold: an ISO 286 zone such as "h9", "+-0.5", "-0.002" or "+0.03", in mm or in by `system`.
    limits_mm: smallest and largest of the first size.
    """

    system: units.LengthUnit
    shape: Shape
    size_mm: tuple[float, ...]
    shown: str
    condition: Condition
    tolerance: str
    limits_mm: tuple[float, float]
    source: str
    standing: str


@cache
def bar_sizes(
    shape: Shape | None = None, system: units.LengthUnit | None = None, condition: Condition | None = None
) -> tuple[BarSize, ...]:
    """Bar sizes, all or those asked for, in the file's order.

    Args:
        shape: "round", "square", "hexagon" or "flat"; None for all.
        system: "mm" or "in"; None for both.
        condition: "bright drawn", "hot rolled", "peeled" or "turned and ground"; None for all.
    Returns: the sizes.
    """
    return tuple(
        size
        for size in _all()
        if shape in (None, size.shape) and system in (None, size.system) and condition in (None, size.condition)
    )


@cache
def _all() -> tuple[BarSize, ...]:
    return tuple(_bar(row) for row in rows("bar_stock"))


def _bar(row: Row) -> BarSize:
    system: units.LengthUnit = "in" if row.text("system") == "in" else "mm"
    written = tuple(text for text in (row.text("size"), row.text("second_size")) if text)
    size_mm = tuple(units.parse_length(text, system) for text in written)
    return BarSize(
        system=system,
        shape=_shape(row),
        size_mm=size_mm,
        shown=" x ".join(written) + f" {system}",
        condition=_condition(row),
        tolerance=row.text("tolerance"),
        limits_mm=_limits_mm(size_mm[0], row.text("tolerance"), 1.0 if system == "mm" else units.MM_PER_IN),
        source=row.text("source"),
        standing=row.text("standing"),
    )


def _limits_mm(size_mm: float, tolerance: str, unit_mm: float) -> tuple[float, float]:
    if tolerance.startswith("+-"):
        off_mm = float(tolerance[2:]) * unit_mm
        return size_mm - off_mm, size_mm + off_mm
    if tolerance[0] in "+-":
        off_mm = float(tolerance) * unit_mm
        return size_mm + min(off_mm, 0.0), size_mm + max(off_mm, 0.0)
    return limits(size_mm, tolerance)


def _shape(row: Row) -> Shape:
    match row.text("shape"):
        case "round" | "square" | "hexagon" | "flat" as shape:
            return shape
        case other:
            raise ValueError(f"{row.at}: shape {other!r}")


def _condition(row: Row) -> Condition:
    match row.text("condition"):
        case "bright drawn" | "hot rolled" | "peeled" | "turned and ground" as condition:
            return condition
        case other:
            raise ValueError(f"{row.at}: condition {other!r}")
