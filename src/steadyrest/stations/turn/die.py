"""Threads that the lathe has no room or no tool for, cut at the bench with a die that lies there."""

from __future__ import annotations

from collections.abc import Iterable

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Machine, Tool
from steadyrest.shop.part import Feature
from steadyrest.shop.work import Step, Undone
from steadyrest.stations import sizes
from steadyrest.stations.answer import Ask
from steadyrest.stations.phases import hand_phase
from steadyrest.stations.turn.tapping import ALIKE_MM
from steadyrest.tables.practice import rule

THERE = "thread.die_there"


def at_bench(ask: Ask, undone: Iterable[Undone]) -> tuple[tuple[Step, ...], list[Undone]]:
    """The step that cuts, by hand, what was refused only because the lathe does not thread it.

    Args:
        ask: what was asked of the lathe.
        undone: what it refused.
    Returns: (one step or none, what stays refused).
    """
    undone = list(undone)
    here = [no for no in undone if no.nearest is not None and no.nearest.key == THERE]
    features = [ask.part.feature(name) for no in here for name in no.features]
    found = [(feature, *die) for feature in features if (die := _die(ask, feature)) is not None]
    made = {feature.id for feature, _, _ in found}
    if not found or made != {feature.id for feature in features}:
        return (), undone
    who = ask.shop.operators("hand")
    each_s = sum(_each_s(feature, tool) for feature, _, tool in found)
    bench = found[0][1]
    cautions: list[Reason] = [because("caution.die"), because("caution.edges")]
    if ask.state.blank.mass_kg > ask.shop.habits.lift_alone_kg:
        cautions.append(
            because("caution.lift", mass_kg=ask.state.blank.mass_kg, alone_kg=ask.shop.habits.lift_alone_kg)
        )
    step = Step(
        id="die",
        station="hand",
        machine=bench.id,
        holding=because("thread.die_hold"),
        phases=(
            hand_phase("threads by hand", each_s * ask.quantity, who=who, key="time.each", count=float(ask.quantity)),
        ),
        makes=tuple(made_id for made_id in (feature.id for feature, _, _ in found)),
        limits=tuple(_figure(feature, tool) for feature, _, tool in found),
        cautions=tuple(cautions),
        tools=tuple(dict.fromkeys(f"die {tool.diameter_mm:g} x {tool.pitch_mm:g}" for _, _, tool in found)),
        unattended_why=(because("alone.manual", machine=bench.name),),
    )
    return (step,), [no for no in undone if no not in here]


def _die(ask: Ask, feature: Feature) -> tuple[Machine, Tool] | None:
    """The bench and its die for a thread."""
    major, pitch = sizes.value_mm(feature, "diameter_mm"), sizes.value_mm(feature, "pitch_mm")
    if major is None or pitch is None:
        return None
    for machine in ask.shop.machines:
        if machine.kind != "bench":
            continue
        for tool in machine.tools:
            if (
                tool.kind == "die"
                and abs(tool.diameter_mm - major) <= ALIKE_MM
                and abs(tool.pitch_mm - pitch) <= ALIKE_MM
            ):
                return machine, tool
    return None


def _each_s(feature: Feature, die: Tool) -> float:
    length = sizes.value_mm(feature, "length_mm") or 0.0
    return rule("die_start_s") + length / die.pitch_mm * rule("die_turn_s")


def _figure(feature: Feature, die: Tool) -> Figure:
    turns = (sizes.value_mm(feature, "length_mm") or 0.0) / die.pitch_mm
    why = because("thread.die_turns", feature=feature.id, turns=turns, each_s=rule("die_turn_s"))
    return Figure(_each_s(feature, die), "s", (why,))
