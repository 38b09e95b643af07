"""Measuring the finished parts: with which gauge, whether its readings can decide, and how long that takes."""

from __future__ import annotations

from steadyrest.measure.plan import Measure, measuring_plan
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.work import Step
from steadyrest.stations.answer import Answer, Ask, none_made, refusal
from steadyrest.stations.phases import hand_phase
from steadyrest.tables.practice import rule


def answer(ask: Ask) -> Answer:
    """Measures the lot: sizes with limits on every part, the others on the first.

    Args:
        ask: the part.
    Returns: one step; a size that no gauge decides is named among its limits. It makes no feature.
    """
    who = ask.shop.operators("inspect")
    if not who:
        return none_made(ask, "inspect", (because("inspect.nobody"),))
    plan = measuring_plan(ask.part, ask.shop, ask.material)
    undone = (refusal(ask, "inspect", ask.features, (because("inspect.only_measures"),)),) if ask.features else ()
    return Answer((_step(ask, who, plan),), ask.state, undone)


def _step(ask: Ask, who: tuple[str, ...], plan: tuple[Measure, ...]) -> Step:
    habits = ask.shop.habits
    fine = [measure for measure in plan if measure.own_limits]
    open_ones = [measure for measure in plan if not measure.own_limits]
    # Sizes alike are taken one after the other with the gauge set: the first in full, the next in a share of it.
    firsts = len({(measure.size, measure.shown, measure.gauge) for measure in open_ones})
    likes = len(open_ones) - firsts
    readings = len(fine) * ask.quantity + firsts
    measuring_s = (readings + rule("measure_like_share") * likes) * habits.measure_s
    total_s = measuring_s + habits.handling_s * ask.quantity
    why = because("inspect.readings", count=float(readings), each_s=habits.measure_s, likes=float(likes))
    undecided: list[Reason] = [
        because("inspect.undecided", feature=measure.feature, width_mm=measure.high_mm - measure.low_mm)
        for measure in fine
        if measure.accept_mm is None
    ]
    notes = tuple(dict.fromkeys(note for measure in fine for note in measure.notes))
    return Step(
        id="inspect",
        station="inspect",
        machine=None,
        holding=because("inspect.hold"),
        phases=(hand_phase("measure", total_s, who=who, key="time.each", count=float(ask.quantity)),),
        makes=(),
        limits=(Figure(total_s, "s", (why, *undecided)),),
        cautions=notes,
        tools=tuple(dict.fromkeys(measure.gauge_name for measure in plan if measure.gauge)),
        split=(Figure(total_s / ask.quantity, "s", (because("time.hands", spread=rule("spread_hands")),)),),
    )
