"""Long bar in a lathe: what whips behind the spindle, and how an end is centred before a centre can hold it.

A bar thinner than the spindle's hole goes through it, however long; what is longer than the spindle turns bare behind
it. That is the end of a bar that has killed people: it is limited, said, and refused where it would need a tube.
"""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.shop.figure import Figure, Reason, because, least
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.stations.answer import Ask
from steadyrest.stations.turn.clamping import Clamping
from steadyrest.stations.turn.holding import Hold
from steadyrest.tables.practice import rule

FIRST_MODE = 3.516  # (1.875)^2, the first bending mode of a bar held at one end


def out_mm(ask: Ask, clamping: Clamping) -> float:
    """How far the bar stands out behind the spindle, bare.

    Args:
        ask: with the blank.
        clamping: the side.
    Returns: mm; 0 where the bar does not go into the spindle, ends in it, or comes out of a feeder's tube.
    """
    through = clamping.outside_mm <= clamping.reach_mm + 1e-6
    if ask.state.fed or not through:
        return 0.0
    return max(ask.state.blank.length_mm - clamping.reach_mm - rule("hand_bar_mm"), 0.0)


def whip_rpm(*, diameter_mm: float, out_mm: float, e_mpa: float, density_kg_m3: float) -> float:
    """The speed at which a round bar's bare end goes into its first bending mode.

    Args:
        diameter_mm: of the bar; > 0.
        out_mm: how far it stands out; > 0.
        e_mpa, density_kg_m3: of its metal.
    Returns: rpm.
    Source: first mode of a slender bar held at one end (Euler and Bernoulli); from memory. Checked in
        tests/stations/test_long_bar.py.
    """
    wave_mm_s = math.sqrt(e_mpa / (density_kg_m3 * 1e-12))
    return FIRST_MODE * wave_mm_s * diameter_mm / 4.0 / out_mm**2 * 30.0 / math.pi


def too_long(ask: Ask, machine: Machine, clamping: Clamping) -> tuple[Reason, ...]:
    """That so much stands out behind the spindle that it needs a tube.

    Args:
        ask: what is asked.
        machine: the lathe.
        clamping: the side.
    Returns: the reason; empty where it may turn bare.
    """
    out, most_mm = out_mm(ask, clamping), rule("bar_out_ratio") * ask.state.blank.size_mm[0]
    if out <= most_mm:
        return ()
    return (because("turn.bar_out", machine=machine.name, has_mm=out, allowed_mm=most_mm, over_mm=out - most_mm),)


def slowed(ask: Ask, limits: LatheLimits, clamping: Clamping, hold: Hold) -> Hold:
    """The same hold, no faster than the bare end behind the spindle allows, and with its caution.

    Args:
        ask: what is asked.
        limits: of the lathe.
        clamping: the side.
        hold: how it is held.
    Returns: the hold; the same where nothing stands out.
    """
    out = out_mm(ask, clamping)
    if out <= 0:
        return hold
    metal = ask.material
    whips = whip_rpm(
        diameter_mm=ask.state.blank.size_mm[0], out_mm=out, e_mpa=metal.e_mpa, density_kg_m3=metal.density_kg_m3
    )
    why = because("turn.rpm_whips", out_mm=out, whip_rpm=whips, share=rule("whip_share"))
    most = least((hold.rpm_limit(limits), Figure(rule("whip_share") * whips, "rpm", (why,))))
    caution = because("caution.bar_out", out_mm=out, most_rpm=most.value)
    return replace(hold, most_rpm=most, cautions=(*hold.cautions, caution))


def centred(limits: LatheLimits, clamping: Clamping, hold: Hold) -> tuple[float, tuple[Reason, ...]]:
    """How the end is faced and centred before the centre can hold it, where it stands too far out to be drilled so.

    Args:
        limits: of the lathe.
        clamping: the side.
        hold: how it is held.
    Returns: (hands for one part in s, what is said); nothing where no centre holds it, or it is short enough.
    """
    ratio = clamping.reach_mm / max(hold.beam.mean_mm, 1e-9)
    if not hold.centre or ratio <= rule("stick_out_ratio"):
        return 0.0, ()
    if clamping.grip_mm <= limits.spindle_bore_mm and clamping.raw_mm <= limits.spindle_bore_mm:
        return rule("draw_out_s"), (because("turn.centred_short"),)
    if limits.steady_mm is not None and limits.steady_mm[0] <= clamping.raw_mm <= limits.steady_mm[1]:
        return rule("steady_set_s"), (because("turn.centred_steady", under_mm=clamping.raw_mm),)
    return rule("centre_before_s"), (because("turn.centred_before"),)
