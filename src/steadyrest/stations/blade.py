"""What goes through the bar: a band, or a cold saw's disc; its speed, its teeth in the cut, how long a cut takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Material, SawLimits
from steadyrest.stock.section import section_mm2
from steadyrest.tables.cold_saws import cold_speed, thickness_factor
from steadyrest.tables.cutting import SawRate, saw_rate
from steadyrest.tables.practice import rule
from steadyrest.tables.saw_bands import band_for

LOOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Sawing:
    """One cut through one bar. tool: in the words of the drawer. speed: at the tooth. teeth: in the cut at once."""

    cut_s: float
    tool: str
    speed: Figure
    rate: Reason
    teeth: Figure


def sawing(shape: str, size_mm: tuple[float, ...], metal: Material, limits: SawLimits) -> Sawing | Reason:
    """How a section is sawn here, or why this blade does not go through it.

    Args:
        shape, size_mm: of the section, as in Piece.
        metal: what it is.
        limits: of the saw.
    Returns: the cut, or the reason against it.
    """
    return _disc(shape, size_mm, metal, limits) if limits.blade_mm > 0 else _band(shape, size_mm, metal, limits)


def allowed_m_min(metal: Material, limits: SawLimits) -> float:
    """The fastest that a tooth may run in this metal, a saw that is a little too fast borne with."""
    if limits.blade_mm > 0:
        return cold_speed(metal.group).high
    return saw_rate(metal.group).band_m_min.high * rule("band_over")


def square_mm(height_mm: float, limits: SawLimits) -> float:
    """How far a cut is out of square over its height: a band wanders, a disc hardly."""
    return height_mm * (rule("square_disc_ratio") if limits.blade_mm > 0 else rule("square_band_ratio"))


def _band(shape: str, size_mm: tuple[float, ...], metal: Material, limits: SawLimits) -> Sawing:
    rate: SawRate = saw_rate(metal.group)
    area_cm2 = section_mm2(shape, size_mm) / 100.0
    # A band slower than the metal likes saws slower in proportion; a faster one saws no faster.
    wet = 1.0 - (rule("dry_saw_share") if limits.dry else 0.0)
    wanted = rate.band_m_min.middle * thickness_factor(size_mm[-1]) * wet
    band_m_min = min(max(wanted, limits.min_band_m_min), limits.max_band_m_min)
    slowed = min(band_m_min / rate.band_m_min.middle, 1.0)
    cm2_min = rate.area_cm2_min.low * slowed
    # A tube's walls are what the teeth meet: its mean width, not its outside.
    width_mm = section_mm2(shape, size_mm) / size_mm[0] if shape == "tube" else size_mm[0]
    band = band_for(width_mm)
    why = because("saw.band", rate.band_m_min.source, band_m_min=band_m_min)
    teeth = because("saw.teeth", band.source, teeth=band.shown, width_mm=width_mm)
    return Sawing(
        cut_s=area_cm2 / cm2_min * 60.0,
        tool=f"bimetal band {band.shown}",
        speed=Figure(band_m_min, "m/min", (why,)),
        rate=because("saw.rate", rate.area_cm2_min.source, cm2_min=cm2_min, area_cm2=area_cm2),
        teeth=Figure(band.in_cut(width_mm), "1", (teeth,)),
    )


def _disc(shape: str, size_mm: tuple[float, ...], metal: Material, limits: SawLimits) -> Sawing | Reason:
    """A disc fed down through the section, so much a tooth."""
    printed = cold_speed(metal.group)
    speed = min(max(printed.middle, limits.min_band_m_min), limits.max_band_m_min)
    speed *= 1.0 - (rule("dry_saw_share") if limits.dry else 0.0)
    rpm = 1000.0 * speed / (math.pi * limits.blade_mm)
    pitch_mm = math.pi * limits.blade_mm / limits.blade_teeth
    wall_mm = section_mm2(shape, size_mm) / size_mm[0] if shape == "tube" else size_mm[0]
    in_cut = wall_mm / pitch_mm
    if in_cut > rule("most_teeth") + LOOSE:
        return because("saw.teeth_many", teeth=in_cut, allowed=rule("most_teeth"), wanted=rule("most_teeth") * pitch_mm)
    if in_cut < rule("least_teeth") - LOOSE:
        return because("saw.teeth_few", teeth=in_cut, allowed=rule("least_teeth"), width_mm=wall_mm)
    feed_mm_min = rpm * limits.blade_teeth * rule("cold_tooth_mm")
    way_mm = size_mm[-1] + rule("approach_mm")
    area_cm2 = section_mm2(shape, size_mm) / 100.0
    cut_s = way_mm / feed_mm_min * 60.0
    disc = f"{limits.blade_mm:g} mm disc, {limits.blade_teeth} teeth"
    return Sawing(
        cut_s=cut_s,
        tool=disc,
        speed=Figure(speed, "m/min", (because("saw.disc", printed.source, speed_m_min=speed, at_rpm=rpm),)),
        rate=because(
            "saw.disc_rate", cm2_min=area_cm2 / cut_s * 60.0, area_cm2=area_cm2, tooth_mm=rule("cold_tooth_mm")
        ),
        teeth=Figure(in_cut, "1", (because("saw.disc_teeth", width_mm=wall_mm, pitch_mm=pitch_mm),)),
    )
