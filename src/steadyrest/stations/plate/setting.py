"""Strength, feed, kerf and pierce for a metal and a thickness, from the machine's chart or the table's; or why not."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import CutterLimits, Machine, Material
from steadyrest.tables.plate_cutting import CutMetal, CutRow, chart, cut_metal, figures

MELT_J_MM3_K2 = 3.33e-6  # energy to melt a cubic millimetre is this times the melting point squared; melt-energy
UNITS = {"plasma": "A", "oxy-fuel": "", "laser": "kW", "water": "kW"}


@dataclass(frozen=True, slots=True)
class Setting:
    """How a plate is cut. feed_mm_min: with what limits it. shown: the strength as the machine shows it.

    edge_start: too thick to be pierced: begun from the sheet's edge or a drilled hole.
    """

    way: str
    metal: CutMetal
    thickness_mm: float
    strength: float
    feed_mm_min: Figure
    kerf_mm: float
    pierce_s: float
    edge_start: bool

    @property
    def shown(self) -> str:
        unit = UNITS[self.way]
        return f"{self.strength:g} {unit}" if unit else self.way

    def figure(self, name: str) -> float:
        """What this way of cutting leaves, wants or takes."""
        return figures(self.way)[name]


@dataclass(frozen=True, slots=True)
class NotCut:
    """Why a machine does not cut this plate, the widest miss first, and the nearest yes."""

    reasons: tuple[Reason, ...]
    nearest: Reason | None


def setting(machine: Machine, limits: CutterLimits, material: Material, thickness_mm: float) -> Setting | NotCut:
    """How this machine cuts this plate: of the strengths it has, the one with the highest feed.

    Args:
        machine: its name.
        limits: of the machine.
        material: of the plate.
        thickness_mm: of the plate; > 0.
    Returns: the setting, or why there is none.
    """
    metal, name = cut_metal(material.group), machine.name
    own = tuple(row for row in limits.chart if row.metal == metal.name)
    rows = own or tuple(row for row in chart(limits.way) if row.metal == metal.name)
    if not rows:
        why = because("plate.not_this_metal", machine=name, way=limits.way, metal=metal.name)
        return NotCut((why,), because("plate.nearest_water"))
    thinnest = figures(limits.way)["least_thickness_mm"]
    if thickness_mm < thinnest:
        why = because("plate.too_thin", machine=name, has_mm=thickness_mm, least_mm=thinnest)
        return NotCut((why,), because("plate.nearest_shear"))
    if thickness_mm > limits.max_thickness_mm:
        why = because("plate.too_thick", machine=name, has_mm=thickness_mm, allowed_mm=limits.max_thickness_mm)
        return NotCut((why,), because("plate.nearest_outside"))
    found = [one for strength in strengths(rows, limits.strength) if (one := _at(
        limits, metal, [row for row in rows if row.strength == strength], thickness_mm))]  # fmt: skip
    if not found:
        return _no_strength(machine, limits, rows, thickness_mm)
    return max(found, key=lambda one: (one.feed_mm_min.value, -one.strength))


def strengths(rows: tuple[CutRow, ...], most: float) -> list[float]:
    """The strengths of a chart that a machine has, the least first."""
    return sorted({row.strength for row in rows if row.strength <= most + 1e-9})


def _no_strength(machine: Machine, limits: CutterLimits, rows: tuple[CutRow, ...], thickness_mm: float) -> NotCut:
    has = strengths(rows, limits.strength)
    if not has:
        least_mm = min(row.strength for row in rows)
        why = because("plate.weak", machine=machine.name, has=f"{limits.strength:g}", wanted=f"{least_mm:g}")
        return NotCut((why,), None)
    allowed = max(row.thickness_mm for row in rows if row.strength in has)
    why = because("plate.too_thick_for", machine=machine.name, has_mm=thickness_mm, allowed_mm=allowed,
                  strength=f"{has[-1]:g} {UNITS[limits.way]}".strip())  # fmt: skip
    stronger = [row.strength for row in rows if row.thickness_mm >= thickness_mm and row.strength > limits.strength]
    nearest = (
        because("plate.nearest_strength", strength=f"{min(stronger):g} {UNITS[limits.way]}".strip())
        if stronger
        else because("plate.nearest_outside")
    )
    return NotCut((why,), nearest)


def _at(limits: CutterLimits, metal: CutMetal, rows: list[CutRow], thickness_mm: float) -> Setting | None:
    """The chart of one strength at this thickness, between its rows; None beyond its thickest."""
    rows = sorted(rows, key=lambda row: row.thickness_mm)
    thickest = rows[-1].thickness_mm
    if thickness_mm > thickest + 1e-9:
        return None
    feed, kerf, pierce = (
        _between([row.thickness_mm for row in rows], [getattr(row, name) for row in rows], thickness_mm)
        for name in ("feed_mm_min", "kerf_mm", "pierce_s")
    )
    way, strength = limits.way, rows[0].strength
    own = figures(way)
    feeds = [
        Figure(feed, "mm/min", (because("plate.feed_chart", thickness_mm=thickness_mm, metal=metal.name,
               strength=f"{strength:g} {UNITS[way]}".strip()),)),
        Figure(limits.max_feed_mm_min, "mm/min", (because("plate.feed_machine"),)),
    ]  # fmt: skip
    melts = melt_feed_mm_min(way, strength, metal, kerf, thickness_mm)
    if melts is not None:
        feeds.append(Figure(melts, "mm/min", (because("plate.feed_melts", power_w=strength * own["volts"]),)))
    edge_start = thickness_mm > own["pierce_share"] * thickest
    return Setting(way, metal, thickness_mm, strength, least(feeds), kerf, 0.0 if edge_start else pierce, edge_start)


def melt_feed_mm_min(way: str, strength: float, metal: CutMetal, kerf_mm: float, thickness_mm: float) -> float | None:
    """The feed at which the arc's power just melts what is in the kerf: share P / (u_m kerf t).

    Args:
        way: of cutting.
        strength: A.
        metal: its melting point.
        kerf_mm: width of the cut.
        thickness_mm: of the plate.
    Returns: mm/min; None where no arc melts (flame burns the iron, water melts nothing, a beam's chart is kept to).
    Source: energy to melt 3.33e-6 Tm2 J/mm3 (melt-energy); the share of it in the kerf: common practice, no source.
    """
    own = figures(way)
    if own["volts"] <= 0:
        return None
    power_w = own["melt_share"] * strength * own["volts"]
    return 60.0 * power_w / (melt_energy_j_mm3(metal) * kerf_mm * thickness_mm)


def melt_energy_j_mm3(metal: CutMetal) -> float:
    """Energy to melt a cubic millimetre, J."""
    return MELT_J_MM3_K2 * metal.melts_k**2


def _between(xs: list[float], ys: list[float], x: float) -> float:
    """Straight between points on logarithmic scales; below the first, the first."""
    if x <= xs[0] or len(xs) == 1:
        return ys[0]
    k = next(i for i in range(1, len(xs)) if x <= xs[i] + 1e-9)
    if min(ys[k - 1], ys[k]) <= 0:
        return ys[k]
    share = (math.log(x) - math.log(xs[k - 1])) / (math.log(xs[k]) - math.log(xs[k - 1]))
    return math.exp(math.log(ys[k - 1]) + share * (math.log(ys[k]) - math.log(ys[k - 1])))
