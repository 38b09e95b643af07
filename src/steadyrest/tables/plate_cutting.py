"""Cutting from plate: speeds by way and metal; what each way leaves and needs; edges and limits (ISO 9013)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from steadyrest.tables.rows import rows

WAYS = ("plasma", "oxy-fuel", "laser", "water")


@dataclass(frozen=True, slots=True)
class CutRow:
    """One row of a cutting chart. strength: A of a plasma, kW of a laser or a pump, 1 of a flame."""

    metal: str
    strength: float
    thickness_mm: float
    feed_mm_min: float
    kerf_mm: float
    pierce_s: float


@dataclass(frozen=True, slots=True)
class CutMetal:
    """A metal as it is cut. melts_k: where it melts; heat_j_kgk: heat to warm a kilogram."""

    name: str
    melts_k: float
    heat_j_kgk: float


@dataclass(frozen=True, slots=True)
class EdgeRange:
    """A range of ISO 9013: squareness u_mm + u_per_mm x thickness; roughness Rz5 likewise, None where it has none."""

    number: int
    u_mm: float
    u_per_mm: float
    rz5_um: float | None
    rz5_um_per_mm: float | None


@cache
def chart(way: str) -> tuple[CutRow, ...]:
    """The chart of one way of cutting, for a machine that brings none.

    Args:
        way: one of WAYS.
    Returns: its rows.
    """
    return tuple(
        CutRow(
            row.text("metal"), row.number("strength"), row.number("thickness_mm"), row.number("feed_mm_min"),
            row.number("kerf_mm"), row.number("pierce_s"),
        )
        for row in rows("cut_speeds")
        if row.text("way") == way
    )  # fmt: skip


@cache
def figures(way: str) -> Mapping[str, float]:
    """What one way of cutting leaves, wants and takes, by name.

    Args:
        way: one of WAYS.
    Returns: name, as in cut_ways.csv, to value.
    """
    return {row.text("figure"): row.number("value") for row in rows("cut_ways") if row.text("way") == way}


@cache
def cut_metal(group: int) -> CutMetal:
    """The metal as it is cut.

    Args:
        group: VDI 3323.
    Returns: what it counts as.
    Raises: ValueError: a group that is not in the table.
    """
    for row in rows("cut_metals"):
        if row.number("group_from") <= group <= row.number("group_to"):
            return CutMetal(row.text("metal"), row.number("melts_k"), row.number("heat_j_kgk"))
    raise ValueError(f"cut_metal: group {group!r} is not in the table")


@cache
def edge_range(number: int) -> EdgeRange:
    """A range of ISO 9013 by its number, 1 to 5."""
    row = next(row for row in rows("cut_edges") if int(row.number("range")) == number)
    return EdgeRange(
        number, row.number("u_mm"), row.number("u_per_mm"), row.number_or_none("rz5_um"),
        row.number_or_none("rz5_um_per_mm"),
    )  # fmt: skip


def squareness_mm(number: int, thickness_mm: float) -> float:
    """Squareness or angularity tolerance u of a cut edge.

    Args:
        number: range, 1 to 5.
        thickness_mm: of the plate.
    Returns: mm.
    Source: ISO 9013, table as in cut_edges.csv.
    """
    found = edge_range(number)
    return found.u_mm + found.u_per_mm * thickness_mm


def rz5_um(number: int, thickness_mm: float) -> float:
    """Mean height of the profile Rz5 of a cut edge.

    Args:
        number: range, 1 to 4.
        thickness_mm: of the plate.
    Returns: um.
    Raises: ValueError: a range without roughness.
    Source: ISO 9013, table as in cut_edges.csv.
    """
    found = edge_range(number)
    if found.rz5_um is None or found.rz5_um_per_mm is None:
        raise ValueError(f"rz5_um: range {number!r} has no roughness")
    return found.rz5_um + found.rz5_um_per_mm * thickness_mm


def limit_mm(number: int, *, thickness_mm: float, size_mm: float) -> float | None:
    """How far a size without tolerance may be off either way on a cut part.

    Args:
        number: class, 1 or 2.
        thickness_mm: of the plate; what is thinner than the table begins is taken as its thinnest.
        size_mm: of the part.
    Returns: mm; None where the table has none.
    Source: ISO 9013, table as in cut_limits.csv.
    """
    thick, size = max(thickness_mm, 1.001), max(size_mm, 1e-6)
    for row in rows("cut_limits"):
        if (
            int(row.number("class")) == number
            and row.number("over_mm") < thick <= row.number("upto_mm")
            and row.number("size_over_mm") < size <= row.number("size_upto_mm")
        ):
            return row.number("off_mm")
    return None


@cache
def sheet_formats_mm() -> tuple[tuple[float, float], ...]:
    """Length and width of the sheets that merchants keep, the smallest first."""
    found = [(row.number("length_mm"), row.number("width_mm")) for row in rows("sheet_formats")]
    return tuple(sorted(found, key=lambda size: size[0] * size[1]))
