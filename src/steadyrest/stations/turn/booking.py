"""What one clamping is asked, and the book of what came of it: times by tool, features made, features refused."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.shop.floor import LatheLimits, Tool
from steadyrest.shop.part import Feature, Stretch
from steadyrest.shop.work import Undone
from steadyrest.stations import edge, sizes
from steadyrest.stations.answer import Ask, refusal
from steadyrest.stations.turn import bores
from steadyrest.stations.turn.passes import Cut, Setting
from steadyrest.stations.turn.threads import Ends
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Side:
    """What is asked of one clamping.

    stretches: from the end inwards. bores: nearest first. others: faces, chamfers, grooves that no stretch stands for.
    spare_mm: faced off the end besides. features: by id, those asked for. part_off: cut off from the bar at the end.
    threads: cut last, when all about them is finished; ends: what lies beside them.
    """

    setting: Setting
    stretches: tuple[Stretch, ...]
    way: bores.Way
    others: tuple[Feature, ...]
    spare_mm: float
    features: dict[str, Feature]
    as_stock: bool
    ends: Ends
    threads: tuple[Feature, ...] = ()
    part_off: bool = False


@dataclass(slots=True)
class SidePlan:
    """What came of it; filled cut by cut. cut_s: by tool number. steps: how many are turned outside."""

    cut_s: dict[int, float] = field(default_factory=dict[int, float])
    travel_s: float = 0.0
    figures: list[Figure] = field(default_factory=list[Figure])
    made: list[str] = field(default_factory=list[str])
    held: list[Feature] = field(default_factory=list[Feature])
    undone: list[Undone] = field(default_factory=list[Undone])
    impossible: list[Reason] = field(default_factory=list[Reason])
    cautions: list[Reason] = field(default_factory=list[Reason])
    roughs: bool = False
    steps: int = 0
    left_as_stock: bool = False
    bored_in_steady_mm: float = 0.0

    @property
    def all_cut_s(self) -> float:
        return sum(self.cut_s.values())

    def spread(self, limits: LatheLimits) -> float:
        """Sd of the logarithm of the cutting time: by hand more for each further step, for its depth is set anew."""
        if limits.controlled:
            return rule("spread_cut")
        return math.hypot(rule("spread_cut"), rule("spread_hand_step") * max(self.steps - 1, 0))


def tool_of(side: Side, *kinds: str, role: str | None = None) -> Tool | None:
    """The first tool of the machine of one of these kinds.

    Args:
        side: what is asked of this clamping.
        kinds: in order of preference.
        role: of the tool; None for any.
    Returns: the tool, or None.
    """
    for kind in kinds:
        for tool in side.setting.machine.tools:
            if tool.kind == kind and (role is None or tool.role == role):
                return tool
    return None


def rapid_s(side: Side, length_mm: float) -> float:
    """Time of a rapid at the slower axis.

    Args:
        side: what is asked of this clamping.
        length_mm: of the way.
    Returns: s.
    """
    limits = side.setting.limits
    slowest = min(limits.rapid_mm_min)
    return edge.move_time_s(length_mm, slowest, limits.accel_mm_s2)


def count(side: Side, done: SidePlan, tool: Tool, cut: Cut, back_mm: float, starts: int | None = None) -> None:
    """Book a cut: its time under its tool, and for each pass the way out, back and in again.

    Args:
        side: what is asked of this clamping.
        done: the book.
        tool, cut: what cut, and how.
        back_mm: way back for each pass.
        starts: passes that begin in the air, None for all; the others come out of the stretch before, and only their
            way back is longer.
    """
    limits = side.setting.limits
    starts = cut.passes if starts is None else starts
    done.cut_s[tool.number] = done.cut_s.get(tool.number, 0.0) + cut.cut_s
    lift_s = edge.move_time_s(rule("retract_mm"), limits.rapid_mm_min[0], limits.accel_mm_s2)
    back_s = edge.move_time_s(back_mm + rule("approach_mm"), limits.rapid_mm_min[1], limits.accel_mm_s2)
    along_s = back_mm / limits.rapid_mm_min[1] * 60.0
    done.travel_s += starts * (2.0 * lift_s + back_s) + (cut.passes - starts) * along_s


def refuse(
    ask: Ask, side: Side, done: SidePlan, name: str | None, reasons: tuple[Reason, ...], nearest: Reason | None = None
) -> None:
    """Book a feature that cannot be made; a stretch that nobody asked for stops the whole side.

    Args:
        ask: what is asked.
        side: of this clamping.
        done: the book.
        name: of the feature, or None.
        reasons: every limit that says so.
        nearest: what would make it a yes.
    """
    asked = name in side.features or any(thread.id == name for thread in side.threads)
    if name is not None and asked:
        done.undone.append(refusal(ask, "turn", (name,), reasons, nearest))
    else:
        done.impossible.extend(reasons)


def too_fine(ask: Ask, side: Side, done: SidePlan, feature: Feature) -> bool:
    """Refuse a feature whose limits this machine does not promise.

    Args:
        ask: what is asked.
        side: of this clamping.
        done: the book.
        feature: with its limits.
    Returns: whether it was refused.
    """
    why = sizes.too_fine(feature, repeat_mm=side.setting.limits.repeat_mm, machine=side.setting.machine.name)
    if why is None:
        return False
    nearest = because("turn.leave_for_grinding", feature=feature.id, leave_mm=0.2)
    done.undone.append(refusal(ask, "turn", (feature.id,), (why,), nearest))
    return True


def make(side: Side, done: SidePlan, feature: Feature | None) -> None:
    """Book a feature as made, once, and whether its last pass waits for a measurement.

    Args:
        side: of this clamping.
        done: the book.
        feature: None for a stretch that no feature names.
    """
    if feature is None:
        return
    if feature.id not in done.made:
        done.made.append(feature.id)
    if sizes.needs_hold_point(feature, side.setting.limits.repeat_mm):
        done.held.append(feature)
