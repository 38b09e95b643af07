"""Sawing: blanks off a bar, with a band or a cold saw's disc (blade.py). A small station; read this one first."""

from __future__ import annotations

import math
from dataclasses import replace

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Machine, SawLimits
from steadyrest.shop.work import Step
from steadyrest.stations import alone
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.blade import Sawing, allowed_m_min, sawing, square_mm
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.tables.practice import rule


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
        cut = sawing(ask.state.blank.shape, ask.state.blank.size_mm, ask.material, machine.limits)
        fastest_m_min = allowed_m_min(ask.material, machine.limits)
    except KeyError:
        return none_made(ask, "saw", (because("saw.too_hard", material=ask.material.id),))
    reasons = (*_limits(ask, machine, machine.limits, fastest_m_min), *((cut,) if isinstance(cut, Reason) else ()))
    if reasons or isinstance(cut, Reason):
        return none_made(ask, "saw", reasons, because("saw.nearest_bought"))
    undone = (refusal(ask, "saw", ask.features, (because("saw.only_blanks"),)),) if ask.features else ()
    state = replace(ask.state, sawn=True)
    return Answer((_step(ask, machine, machine.limits, cut),), state, undone)


def _limits(ask: Ask, machine: Machine, limits: SawLimits, fastest_m_min: float) -> tuple[Reason, ...]:
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
    off_mm = square_mm(height_mm, limits) + rule("saw_length_mm")
    if off_mm > ask.shop.habits.facing_mm > 0:
        why = because("saw.not_square", machine=machine.name, off_mm=off_mm, facing_mm=ask.shop.habits.facing_mm)
        found.append((off_mm / ask.shop.habits.facing_mm, why))
    if ask.state.bar_kg > limits.max_load_kg:
        why = because("saw.load", machine=machine.name, has_kg=ask.state.bar_kg, allowed_kg=limits.max_load_kg)
        found.append((ask.state.bar_kg / limits.max_load_kg, why))
    slowest_m_min = limits.min_band_m_min
    if slowest_m_min > fastest_m_min:
        why = because("saw.band_fast", machine=machine.name, has_m_min=slowest_m_min, allowed_m_min=fastest_m_min)
        found.append((slowest_m_min / fastest_m_min, why))
    blank_mm = ask.state.blank.length_mm
    rest_mm = ask.state.bar_mm - _per_bar(ask) * (blank_mm + limits.kerf_mm)
    last_mm = rest_mm + blank_mm + limits.kerf_mm
    if last_mm < limits.shortest_rest_mm:
        why = because("saw.rest", machine=machine.name, has_mm=last_mm, allowed_mm=limits.shortest_rest_mm)
        found.append((2.0, why))
    if rest_mm + limits.kerf_mm < -1e-9:
        found.append((3.0, because("saw.bar_short", bar_mm=ask.state.bar_mm, short_mm=-rest_mm)))
    return tuple(reason for _, reason in sorted(found, key=lambda pair: -pair[0]))


def bundled(ask: Ask, limits: SawLimits) -> int:
    """How many bars lie side by side under one cut.

    Args:
        ask: the lot and how many blanks come out of a bar.
        limits: how many the vise clamps, and how wide it opens.
    Returns: 1 or more.
    """
    bars = math.ceil(ask.quantity / max(_per_bar(ask), 1))
    beside = int(limits.largest_width_mm / ask.state.blank.size_mm[0] + 1e-9)
    return max(min(limits.bundle, bars, beside), 1)


def _step(ask: Ask, machine: Machine, limits: SawLimits, cut: Sawing) -> Step:
    blank, habits = ask.state.blank, ask.shop.habits
    heavy, bundle = ask.state.bar_kg > habits.lift_alone_kg, bundled(ask, limits)
    hands_s = (rule("saw_load_s") + habits.measure_s) * (2.0 if heavy else 1.0)
    cycle = Cycle(cut.cut_s, rule("saw_stroke_s") / bundle, hands_s / bundle)
    time = Figure(cut.cut_s, "s", (
        cut.rate, because("saw.kerf", kerf_mm=limits.kerf_mm, rest_mm=_rest_mm(ask, limits)),
    ))  # fmt: skip
    out = because("saw.square", height_mm=blank.size_mm[-1])
    off = Figure(square_mm(blank.size_mm[-1], limits), "mm", (out,))
    run = alone.Run(machine, ask.material, "cut", False, False, cut.cut_s, math.inf, limits.feeds_itself)
    why_not = alone.bans(run)
    cautions = [because("caution.saw", off_mm=rule("saw_length_mm"))]
    if ask.state.bar_mm > rule("saw_support_mm"):
        cautions.append(because("caution.saw_support", bar_mm=ask.state.bar_mm))
    if bundle > 1:
        cautions.append(because("caution.saw_bundle", count=float(bundle)))
    if limits.blade_mm > 0:
        cautions.append(because("caution.saw_disc"))
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
        limits=(time, cut.speed, cut.teeth, off),
        cautions=tuple(cautions),
        unattended=runs_alone,
        unattended_why=why_not,
        tools=(cut.tool,),
        split=split(cycle, 1.0),
        notes=(because("saw.bundled", count=float(bundle)),) if bundle > 1 else (),
    )  # fmt: skip


def _rest_mm(ask: Ask, limits: SawLimits) -> float:
    return max(ask.state.bar_mm - _per_bar(ask) * (ask.state.blank.length_mm + limits.kerf_mm), 0.0)


def _per_bar(ask: Ask) -> int:
    return ask.state.per_bar or ask.quantity
