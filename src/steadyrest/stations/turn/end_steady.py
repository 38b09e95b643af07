"""A steady at the free end of long work: what is bored there while no centre can stand in it, or where none is had.

Two uses. Work that a centre holds is bored last: its end, turned by then, runs in the steady and the centre is drawn
back. Work that no centre holds stands in chuck and steady from the start, if it runs true where the steady takes it.
"""

from __future__ import annotations

from dataclasses import replace

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.stations.answer import Ask
from steadyrest.stations.turn.booking import Side
from steadyrest.stations.turn.clamping import Clamping
from steadyrest.stations.turn.holding import Hold, cautions_of
from steadyrest.tables.practice import rule


def end_mm(side: Side) -> float:
    """The diameter at the end of this side, on which a steady would run once it is turned."""
    return side.stretches[0].largest_mm if side.stretches else side.setting.clamping.raw_mm


def centre_bears(side: Side) -> bool:
    """Whether a centre holds work that is too long to stand in the chuck alone, so that it may not be drawn back."""
    beam = side.setting.hold.beam
    return side.setting.hold.centre and beam.length_mm > rule("stick_out_ratio") * beam.mean_mm


def not_bored(side: Side) -> tuple[tuple[Reason, ...], Reason] | None:
    """Why nothing is bored in an end that a centre holds, and the nearest yes; None where a steady takes over.

    Args:
        side: one clamping.
    Returns: (reasons, nearest), or None.
    """
    if not centre_bears(side) or side.setting.hold.steady:
        return None
    limits, under = side.setting.limits, end_mm(side)
    beam = side.setting.hold.beam
    why = because(
        "turn.bore_at_centre", reach_mm=beam.length_mm, ratio=beam.length_mm / max(beam.mean_mm, 1e-9),
        allowed=rule("stick_out_ratio"),
    )  # fmt: skip
    buy = because("turn.buy_steady", under_mm=under)
    if limits.steady_mm is None:
        return (why,), buy
    smallest, largest = limits.steady_mm
    if smallest <= under <= largest:
        return None
    name = side.setting.machine.name
    size = because("turn.steady_size", machine=name, has_mm=under, smallest_mm=smallest, largest_mm=largest)
    return (why, size), buy


def held_at_end(
    ask: Ask, machine: Machine, limits: LatheLimits, clamping: Clamping, grip: Figure
) -> Hold | tuple[Reason, ...]:
    """In the chuck with its end in a steady: for work that no centre holds, where its outside runs true behind the cut.

    Args:
        ask: what is asked.
        machine: the lathe.
        limits: its limits.
        clamping: the side.
        grip: of the chuck at rest.
    Returns: the way, or everything that stands against it, with the numbers.
    """
    if limits.steady_mm is None:
        return (because("turn.no_end_steady", machine=machine.name),)
    smallest, largest = limits.steady_mm
    under, clear = clamping.grip_mm, rule("steady_clear_mm")
    turned_mm = sum(stretch.length_mm for stretch in clamping.stretches)
    at_mm = clamping.reach_mm - turned_mm - clamping.faced_mm - clear
    refused: list[Reason] = []
    if not smallest <= under <= largest:
        refused.append(
            because("turn.steady_size", machine=machine.name, has_mm=under, smallest_mm=smallest, largest_mm=largest)
        )
    if clamping.number == 1 and ask.state.condition == "hot rolled":
        refused.append(because("turn.steady_skin", under_mm=under))
    if at_mm < clear:
        refused.append(because("turn.steady_no_room", turned_mm=turned_mm, reach_mm=clamping.reach_mm, clear_mm=clear))
    elif at_mm > rule("slender_ratio") * under:
        refused.append(because("turn.slender_steady", ratio=at_mm / under, allowed=rule("slender_ratio")))
    beyond = (clamping.reach_mm - at_mm) / max(clamping.beam(ask.material.e_mpa, centre=False).mean_mm, 1e-9)
    if beyond > rule("stick_out_ratio"):
        over_mm = clamping.reach_mm - at_mm
        refused.append(because("turn.stick_out", ratio=beyond, allowed=rule("stick_out_ratio"), reach_mm=over_mm))
    if refused:
        return tuple(refused)
    beam = replace(clamping.beam(ask.material.e_mpa, centre=False), steady_mm=at_mm)
    why = because(
        "turn.hold_end_steady", diameter_mm=clamping.grip_mm, jaws_mm=clamping.jaws_mm, reach_mm=clamping.reach_mm,
        at_mm=at_mm, under_mm=under,
    )  # fmt: skip
    return Hold(False, beam, why, (*cautions_of(clamping), because("caution.steady")), grip, steady=True)
