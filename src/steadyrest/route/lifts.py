"""What is lifted by hand at each step, against what one person may lift so: alone, by two, or by a hoist.

Only the lift onto the machine or bench and back is judged, with two hands and a load that neither swings nor shifts.
Carrying through the shop, one-handed holding and hot or sharp loads are outside of the equation, and said so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from steadyrest.handling.lifting import Lift, LiftJudged, hours_of, may_lift
from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import Shop
from steadyrest.shop.work import Blank, Step
from steadyrest.tables.practice import rule

LONGEST_MIN = 480.0
HELD_RAW = ("turn", "mill", "grind", "bend", "plate")
DESK = ("prepare",)


@dataclass(frozen=True, slots=True)
class Load:
    """What is moved at a step. width_mm: how far it reaches in front of the body. times: lifts in the whole lot."""

    mass_kg: float
    width_mm: float
    from_mm: float
    times: float


@dataclass(frozen=True, slots=True)
class Weights:
    """What a lot weighs: its bar (0 where the blanks come cut to size), one blank, one finished part, how many."""

    bar_kg: float
    bars: int
    blank: Blank
    finished_kg: float
    quantity: int


def with_lifts(steps: tuple[Step, ...], weighs: Weights, shop: Shop) -> tuple[Step, ...]:
    """The steps, each with the heaviest thing moved by hand for it, and a caution where one person may not lift it.

    Args:
        steps: in their order.
        weighs: the lot's weights.
        shop: what one person lifts here.
    Returns: the same steps.
    """
    return tuple(_with_lift(step, load_at(step, weighs), shop) for step in steps)


def load_at(step: Step, weighs: Weights) -> Load | None:
    """What is moved at a step.

    Args:
        step: with its station.
        weighs: the lot's weights.
    Returns: the load; None at the desk.
    """
    across_mm, bench, many = weighs.blank.size_mm[-1], rule("lift_bench_mm"), float(weighs.quantity)
    if step.station in DESK:
        return None
    if step.station == "saw":
        return Load(weighs.bar_kg, across_mm, rule("lift_rack_mm"), float(max(weighs.bars, 1)))
    if step.station in HELD_RAW:
        # By the blank, on the safe side: what earlier steps took off is not counted.
        return Load(weighs.blank.mass_kg, across_mm, bench, 2.0 * many)
    if step.station in ("deliver", "outside"):
        boxes = max(math.ceil(weighs.finished_kg * weighs.quantity / rule("box_kg")), 1)
        each_kg = weighs.finished_kg * weighs.quantity / boxes
        return Load(max(each_kg, weighs.finished_kg), rule("box_width_mm"), bench, 2.0 * boxes)
    return Load(weighs.finished_kg, across_mm, bench, 2.0 * many)


def too_much(mass_kg: float, alone_kg: float) -> Reason:
    """What is said of a weight that one person may not lift.

    Args:
        mass_kg: the weight. alone_kg: what one person may.
    Returns: two people with what they may, or a hoist.
    """
    two_kg = alone_kg * rule("lift_two_share")
    return because("lift.two" if mass_kg <= two_kg else "lift.hoist", mass_kg=mass_kg, alone_kg=alone_kg, two_kg=two_kg)


def too_heavy(lifted: Figure) -> bool:
    """Whether what is lifted is more than one person may.

    Args:
        lifted: of a step.
    Returns: whether it is.
    """
    return any(reason.key in ("lift.two", "lift.hoist") for reason in lifted.why)


def _with_lift(step: Step, load: Load | None, shop: Shop) -> Step:
    if load is None or load.mass_kg <= 0:
        return step
    judged = _judged(step, load)
    alone_kg = min(judged.limit.value, shop.habits.lift_alone_kg)
    why: list[Reason] = [
        because("lift.at_step", step=step.id, mass_kg=load.mass_kg, alone_kg=alone_kg),
        *judged.limit.why[:2],
    ]
    cautions = tuple(caution for caution in step.cautions if caution.key not in ("caution.lift", "caution.load"))
    if load.mass_kg > alone_kg:
        warned = too_much(load.mass_kg, alone_kg)
        why.append(warned)
        cautions = (*cautions, warned, because("lifting.caution_scope"), because("lifting.caution_rules"))
    return replace(step, cautions=cautions, lifted=Figure(load.mass_kg, "kg", tuple(why)))


def _judged(step: Step, load: Load) -> LiftJudged:
    """The lift at the worse of its two ends."""
    minutes = min(max(sum(phase.duration_s.value for phase in step.phases if phase.who) / 60.0, 1.0), LONGEST_MIN)
    to_mm = rule("lift_to_mm")
    ends = [
        Lift(
            load_kg=load.mass_kg, out_mm=rule("lift_out_mm") + load.width_mm / 2.0, hands_mm=hands_mm,
            start_hands_mm=load.from_mm, travel_mm=abs(to_mm - load.from_mm), twist_deg=rule("lift_twist_deg"),
            per_min=load.times / minutes, hours=hours_of([(minutes, 0.0)]), grip="fair",
        )
        for hands_mm in (load.from_mm, to_mm)
    ]  # fmt: skip
    return min((may_lift(lift) for lift in ends), key=lambda one: one.limit.value)
