"""Sawing: blanks off a bar on a horizontal band saw. The smallest station; read this one first."""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Machine, SawLimits
from steadyrest.shop.work import Step
from steadyrest.stations import alone
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.stock.section import section_mm2
from steadyrest.tables.cutting import SawRate, saw_rate
from steadyrest.tables.practice import rule
from steadyrest.tables.saw_bands import band_for


def answer(ask: Ask) -> Answer:
    """Cuts the blanks of the lot off their bar. It makes no feature: each one asked for is refused.

    Args:
        ask: with the blank that is wanted and the bar it comes from; machine: the saw.
    Returns: one step, or the refusal with every limit.
    """
    machine = ask.machine
    if machine is None or not isinstance(machine.limits, SawLimits):
        return none_made(ask, "saw", (because("saw.no_saw"),))
    if ask.state.sawn:
        return none_made(ask, "saw", (because("saw.already"),))
    try:
        rate = saw_rate(ask.material.group)
    except KeyError:
        return none_made(ask, "saw", (because("saw.too_hard", material=ask.material.id),))
    reasons = _limits(ask, machine, machine.limits, rate)
    if reasons:
        return none_made(ask, "saw", reasons, because("saw.nearest_bought"))
    undone = (refusal(ask, "saw", ask.features, (because("saw.only_blanks"),)),) if ask.features else ()
    state = replace(ask.state, sawn=True)
    return Answer((_step(ask, machine, machine.limits, rate),), state, undone)


def _limits(ask: Ask, machine: Machine, limits: SawLimits, rate: SawRate) -> tuple[Reason, ...]:
    """Every limit of this saw that bar and metal exceed, the widest miss first."""
    size_mm = ask.state.blank.size_mm
    width_mm, height_mm = size_mm[0], size_mm[-1]
    found: list[tuple[float, Reason]] = []

    def over(key: str, has: float, allowed: float) -> None:
        if has > allowed:
            found.append((has / allowed, because(key, machine=machine.name, has_mm=has, allowed_mm=allowed)))

    if ask.state.blank.shape == "round":
        over("saw.round", size_mm[0], limits.largest_round_mm)
    over("saw.width", width_mm, limits.largest_width_mm)
    over("saw.height", height_mm, limits.largest_height_mm)
    if ask.state.bar_kg > limits.max_load_kg:
        why = because("saw.load", machine=machine.name, has_kg=ask.state.bar_kg, allowed_kg=limits.max_load_kg)
        found.append((ask.state.bar_kg / limits.max_load_kg, why))
    slowest_m_min, allowed_m_min = limits.min_band_m_min, rate.band_m_min.high * rule("band_over")
    if slowest_m_min > allowed_m_min:
        why = because("saw.band_fast", machine=machine.name, has_m_min=slowest_m_min, allowed_m_min=allowed_m_min)
        found.append((slowest_m_min / allowed_m_min, why))
    blank_mm = ask.state.blank.length_mm
    rest_mm = ask.state.bar_mm - _per_bar(ask) * (blank_mm + limits.kerf_mm)
    last_mm = rest_mm + blank_mm + limits.kerf_mm
    if last_mm < limits.shortest_rest_mm:
        why = because("saw.rest", machine=machine.name, has_mm=last_mm, allowed_mm=limits.shortest_rest_mm)
        found.append((2.0, why))
    if rest_mm + limits.kerf_mm < -1e-9:
        found.append((3.0, because("saw.bar_short", bar_mm=ask.state.bar_mm, short_mm=-rest_mm)))
    return tuple(reason for _, reason in sorted(found, key=lambda pair: -pair[0]))


def _step(ask: Ask, machine: Machine, limits: SawLimits, rate: SawRate) -> Step:
    blank, habits = ask.state.blank, ask.shop.habits
    area_cm2 = section_mm2(blank.shape, blank.size_mm) / 100.0
    # A band slower than the metal likes saws slower in proportion; a faster one saws no faster.
    band_m_min = min(max(rate.band_m_min.middle, limits.min_band_m_min), limits.max_band_m_min)
    slowed = min(band_m_min / rate.band_m_min.middle, 1.0)
    cm2_min = rate.area_cm2_min.low * slowed
    cut_s = area_cm2 / cm2_min * 60.0
    heavy = ask.state.bar_kg > habits.lift_alone_kg
    hands_s = (rule("saw_load_s") + habits.measure_s) * (2.0 if heavy else 1.0)
    cycle = Cycle(cut_s, rule("saw_stroke_s"), hands_s)
    speed = Figure(band_m_min, "m/min", (because("saw.band", rate.band_m_min.source, band_m_min=band_m_min),))
    sawn = because("saw.rate", rate.area_cm2_min.source, cm2_min=cm2_min, area_cm2=area_cm2)
    time = Figure(cut_s, "s", (sawn, because("saw.kerf", kerf_mm=limits.kerf_mm, rest_mm=_rest_mm(ask, limits))))
    band = band_for(blank.size_mm[0])
    in_cut = band.in_cut(blank.size_mm[0])
    teeth = Figure(in_cut, "1", (because("saw.teeth", band.source, teeth=band.shown, width_mm=blank.size_mm[0]),))
    run = alone.Run(machine, ask.material, "cut", False, False, cut_s, math.inf, limits.feeds_itself)
    why_not = alone.bans(run)
    cautions = [because("caution.saw", off_mm=rule("saw_length_mm"))]
    if ask.state.bar_mm > rule("saw_support_mm"):
        cautions.append(because("caution.saw_support", bar_mm=ask.state.bar_mm))
    if heavy:
        cautions.append(because("caution.lift", mass_kg=ask.state.bar_kg, alone_kg=habits.lift_alone_kg))
    phases = lot_phases(
        cycle, set_up_s=machine.set_up_s + habits.handling_s, quantity=ask.quantity,
        who=ask.shop.operators(machine.id), alone=not why_not, prove_out=1.0,
        feeds_itself=limits.feeds_itself,
    )  # fmt: skip
    runs_alone, why_not = alone.settled(phases, why_not, ask.quantity)
    return Step(
        id="saw",
        station="saw",
        machine=machine.id,
        holding=because("saw.hold", size_mm=blank.size_mm[0])
        if len(blank.size_mm) == 1
        else because("saw.hold_flat", width_mm=blank.size_mm[0], height_mm=blank.size_mm[1]),
        phases=phases,
        makes=(),
        limits=(time, speed, teeth),
        cautions=tuple(cautions),
        unattended=runs_alone,
        unattended_why=why_not,
        tools=(f"bimetal band {band.shown}",),
        split=split(cycle, 1.0),
    )  # fmt: skip


def _rest_mm(ask: Ask, limits: SawLimits) -> float:
    return max(ask.state.bar_mm - _per_bar(ask) * (ask.state.blank.length_mm + limits.kerf_mm), 0.0)


def _per_bar(ask: Ask) -> int:
    return ask.state.per_bar or ask.quantity
