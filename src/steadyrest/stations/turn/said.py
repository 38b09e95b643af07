"""What is said beside a turning step: chips, weight, a thread in the jaws, soft jaws, where it is apt to chatter."""

from __future__ import annotations

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import Machine
from steadyrest.stations import alone, sizes
from steadyrest.stations.answer import Ask
from steadyrest.stations.turn.booking import SidePlan
from steadyrest.stations.turn.clamping import Clamping
from steadyrest.stations.turn.passes import Setting
from steadyrest.stock.blank import SAME_MM
from steadyrest.tables.practice import rule


def chips(ask: Ask) -> tuple[Reason, ...]:
    """Cautions of this metal's chips and of this blank's weight.

    Args:
        ask: what is asked.
    Returns: none, where they are short and it is light.
    """
    found: list[Reason] = []
    if ask.material.stringy:
        found.append(because("caution.chips", material=ask.material.id))
    if ask.material.group in alone.FIRE_PRONE_GROUPS:
        found.append(because("caution.fire", material=ask.material.id))
    if ask.state.blank.mass_kg > ask.shop.habits.lift_alone_kg:
        found.append(because("caution.lift", mass_kg=ask.state.blank.mass_kg, alone_kg=ask.shop.habits.lift_alone_kg))
    return tuple(found)


def on_thread(ask: Ask, clamping: Clamping) -> tuple[Reason, ...]:
    """That the second side is held on a thread, where the jaws' diameter is one's."""
    if clamping.number == 1:
        return ()
    for feature in ask.part.features:
        diameter = sizes.value_mm(feature, "diameter_mm") if feature.kind == "thread" and not feature.inside else None
        if diameter is not None and abs(diameter - clamping.grip_mm) <= SAME_MM:
            return (because("caution.thread_grip", name=feature.id),)
    return ()


def soft_jaws(clamping: Clamping, *, collet: bool = False) -> tuple[Reason, ...]:
    """That the jaws are to be bored, where they close on a diameter that is finished."""
    if collet or clamping.number == 1 or clamping.grip_mm > clamping.raw_mm - SAME_MM:
        return ()
    return (because("turn.soft_jaws", diameter_mm=clamping.grip_mm),)


def chatter(machine: Machine, setting: Setting, made: SidePlan) -> tuple[Reason, ...]:
    """Where work or bar stands out so far that it is apt to chatter, whatever it bends."""
    found: list[Reason] = []
    beam = setting.hold.beam
    ratio = beam.length_mm / max(beam.mean_mm, 1e-9)
    if not setting.hold.centre and ratio > rule("chatter_work_ratio"):
        found.append(because("turn.chatter_work", ratio=ratio, usual=rule("chatter_work_ratio")))
    for tool in machine.tools:
        bar = tool.kind in ("boring", "grooving", "threading") and tool.diameter_mm > 0 and tool.number in made.cut_s
        if bar and tool.length_mm > rule("chatter_bar_ratio") * tool.diameter_mm:
            stands = tool.length_mm / tool.diameter_mm
            found.append(
                because("turn.chatter_bar", tool=float(tool.number), ratio=stands, usual=rule("chatter_bar_ratio"))
            )
    return tuple(found)
