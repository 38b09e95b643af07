"""How the part stands in the chuck on each of its two sides: what is gripped, what stands out, what is cut off."""

from __future__ import annotations

import math
from dataclasses import dataclass

from steadyrest.shop.floor import Habits, LatheLimits, Tool
from steadyrest.shop.part import Stretch
from steadyrest.shop.work import Blank
from steadyrest.stations.answer import Ask
from steadyrest.stations.turn.beam import Beam
from steadyrest.stock.blank import SAME_MM, Need
from steadyrest.tables.practice import rule


@dataclass(frozen=True, slots=True)
class Clamping:
    """One side as it stands in the machine.

    stretches: what must stand free on this side, from its end inwards, at finished size.
    raw_mm: diameter before this side is turned.
    grip_mm: diameter in the jaws. jaws_mm: length in the jaws, and the least that is wanted.
    reach_mm: from the jaws to the end.
    squared: what is gripped is square, and grip_mm its side.
    faced_mm: what is faced off its end. outside_mm: length in front of the chuck's face that the bed must span.
    """

    number: int
    stretches: tuple[Stretch, ...]
    raw_mm: float
    grip_mm: float
    jaws_mm: float
    wanted_jaws_mm: float
    reach_mm: float
    faced_mm: float
    outside_mm: float
    mass_kg: float
    squared: bool = False

    def beam(self, e_mpa: float, centre: bool) -> Beam:
        """The work as it will be when finished: the thinnest it gets, so the most it springs; a taper by its middle."""
        steps = [
            (stretch.length_mm, (stretch.diameter_from_mm + stretch.diameter_to_mm) / 2.0) for stretch in self.stretches
        ]
        inner_mm = max(self.reach_mm - sum(length for length, _ in steps), 0.0)
        return Beam(((inner_mm, self.grip_mm), *reversed(steps)), e_mpa, centre)


def raw_of(blank: Blank) -> float:
    """The diameter that a blank sweeps: a square one's over its corners."""
    return blank.size_mm[0] * (math.sqrt(2.0) if blank.shape == "square" else 1.0)


def clamped(ask: Ask, limits: LatheLimits, wants: Need, *, number: int, raw_mm: float) -> Clamping:
    """How the part stands in the chuck for one side.

    Args:
        ask: what is asked, with the blank.
        limits: of the lathe; work that goes into its spindle stands out less.
        wants: the two sides.
        number: 1 or 2.
        raw_mm: diameter of the blank.
    Returns: the clamping; whether it holds is another question (holding.py).
    """
    habits, blank = ask.shop.habits, ask.state.blank
    sides = wants.sides
    mine, other = (sides.first, sides.second) if number == 1 else (sides.second, sides.first)
    cut = _without_stock(mine, raw_mm)
    turned_mm = sum(stretch.length_mm for stretch in cut)
    total_mm = blank.length_mm if number == 1 else blank.length_mm - habits.facing_mm
    parted = parts_off(ask, wants, raw_mm)
    light = number == 2 and not cut and (parted or not sides.spare_mm)
    if number == 2 and parted:
        total_mm -= sides.spare_mm
    spare_mm = sides.spare_mm if number == 2 and not parted else 0.0
    clear_mm = rule("soft_jaw_clearance_mm") if light else rule("chuck_clearance_mm")
    wanted_mm = turned_mm + habits.facing_mm + spare_mm + clear_mm
    biggest_mm = raw_mm if number == 1 else max((s.largest_mm for s in other), default=raw_mm)
    swallowed = biggest_mm <= limits.spindle_bore_mm
    reach_mm = min(wanted_mm, total_mm) if swallowed else max(total_mm - habits.grip_mm, min(wanted_mm, total_mm))
    if ask.state.fed and number == 1:
        # The whole part stands out, and what parts it off; the bar behind it goes on through the spindle.
        blade = part_off_tool(ask.machine.tools if ask.machine else (), raw_mm)
        reach_mm = blank.length_mm + (blade.width_mm if blade else 0.0) + rule("chuck_clearance_mm")
        total_mm, swallowed = reach_mm + habits.grip_mm, True
    squared = number == 1 and blank.shape == "square"
    grip_mm, most_mm = blank.size_mm[0] if squared else raw_mm, habits.grip_mm
    if number == 2 and other and swallowed:
        held, hidden_mm = _held(other, habits.grip_mm)
        grip_mm, most_mm = held.largest_mm, min(habits.grip_mm, held.length_mm)
        reach_mm += hidden_mm
    elif number == 2 and other:
        grip_mm, held_mm, within_mm = _behind_a_hub(other, limits, habits, light=light)
        most_mm = min(habits.grip_mm, held_mm)
        total_mm -= within_mm
        reach_mm = max(total_mm - habits.grip_mm, min(wanted_mm, total_mm))
    return Clamping(
        number=number,
        stretches=cut,
        raw_mm=raw_mm,
        grip_mm=grip_mm,
        jaws_mm=max(min(total_mm - reach_mm, most_mm), 0.0),
        wanted_jaws_mm=_wanted_jaws_mm(habits, number=number, light=light, part_mm=_part_mm(wants), held_mm=grip_mm),
        reach_mm=reach_mm,
        faced_mm=habits.facing_mm,
        outside_mm=reach_mm if swallowed else total_mm,
        mass_kg=blank.mass_kg,
        squared=squared,
    )


def _held(finished: tuple[Stretch, ...], grip_mm: float) -> tuple[Stretch, float]:
    """The finished step that the jaws hold, and how much of the first side then stands out besides.

    The innermost step that is long enough; where none is, the longest.
    """
    steps: list[tuple[Stretch, float]] = []
    hidden_mm = 0.0
    for stretch in reversed(finished):
        if abs(stretch.diameter_from_mm - stretch.diameter_to_mm) <= SAME_MM:
            steps.append((stretch, hidden_mm))
        hidden_mm += stretch.length_mm
    if not steps:
        return finished[0], 0.0
    long_enough = [step for step in steps if step[0].length_mm >= grip_mm * rule("turned_grip_share")]
    return long_enough[0] if long_enough else max(steps, key=lambda step: step[0].length_mm)


def _behind_a_hub(
    finished: tuple[Stretch, ...], limits: LatheLimits, habits: Habits, *, light: bool
) -> tuple[float, float, float]:
    """What jaws hold of work that does not go into the spindle: (diameter, length of it, what lies within the jaws).

    The end's own diameter; where that is too short, the step behind it, the hub standing in the chuck's own hole.
    """
    within_mm = 0.0
    best = finished[0].largest_mm, _lands_mm(finished), 0.0
    for k, stretch in enumerate(finished):
        straight = abs(stretch.diameter_from_mm - stretch.diameter_to_mm) <= SAME_MM
        before_mm = max((s.largest_mm for s in finished[:k]), default=0.0)
        free = before_mm <= limits.spindle_bore_mm and within_mm <= rule("hub_in_jaws_mm")
        if k and straight and free and stretch.largest_mm > before_mm + SAME_MM:
            held_mm = _lands_mm(finished[k:])
            enough = _wanted_jaws_mm(habits, number=2, light=light, part_mm=math.inf, held_mm=best[0])
            if min(best[1], habits.grip_mm) < enough and held_mm > best[1]:
                best = stretch.largest_mm, held_mm, within_mm
        within_mm += stretch.length_mm
    return best


def _lands_mm(finished: tuple[Stretch, ...]) -> float:
    """Length from the end over which jaws find the end's own diameter, bridging what is narrower."""
    passed_mm = held_mm = 0.0
    for stretch in finished:
        if stretch.largest_mm > finished[0].largest_mm + SAME_MM:
            break
        passed_mm += stretch.length_mm
        if stretch.largest_mm >= finished[0].largest_mm - SAME_MM:
            held_mm = passed_mm
    return held_mm


def _part_mm(wants: Need) -> float:
    return wants.sides.first_mm + wants.sides.second_mm


def _wanted_jaws_mm(habits: Habits, *, number: int, light: bool, part_mm: float, held_mm: float) -> float:
    if light:  # thin work lies in a step bored into soft jaws, no deeper than leaves its face free
        return min(rule("light_grip_mm"), rule("thin_grip_share") * part_mm)
    if number == 1:
        return habits.grip_mm
    # Thin work is held well on a length that would be short for thick work.
    small_mm = max(rule("turned_grip_diameters") * held_mm, rule("light_grip_mm"))
    return min(habits.grip_mm * rule("turned_grip_share"), small_mm)


def parts_off(ask: Ask, wants: Need, raw_mm: float) -> bool:
    """Whether the part is cut off from its bar in the first clamping: by a spare to hold, with a tool that reaches.

    Args:
        ask: what is asked; machine: the lathe.
        wants: the two sides.
        raw_mm: diameter of the blank.
    Returns: whether it is.
    """
    tools = ask.machine.tools if ask.machine else ()
    if ask.state.fed:
        return part_off_tool(tools, raw_mm) is not None
    # A spare shorter than a grip is only a little more to face; nothing is parted off for it.
    long_enough = wants.sides.spare_mm >= ask.shop.habits.grip_mm and not wants.sides.second
    return long_enough and part_off_tool(tools, raw_mm, hole_mm(ask)) is not None


def hole_mm(ask: Ask) -> float:
    """The hole that parting off comes into, where the part is bored through before; 0 where it is solid."""
    profile = ask.part.profile
    if profile is None or not profile.inside:
        return 0.0
    low, high = profile.outside[0].from_mm, profile.outside[-1].to_mm
    bored = sorted(profile.inside, key=lambda stretch: stretch.from_mm)
    at = low
    for stretch in bored:
        if stretch.from_mm > at + SAME_MM:
            return 0.0
        at = max(at, stretch.to_mm)
    through = at >= high - SAME_MM
    return min(min(s.diameter_from_mm, s.diameter_to_mm) for s in bored) if through else 0.0


def part_off_tool(tools: tuple[Tool, ...], bar_mm: float, hole_mm: float = 0.0) -> Tool | None:
    """The narrowest part-off tool that reaches through a bar, or into its hole; None where none does."""
    deep_mm = (bar_mm - hole_mm) / 2.0
    reach = [tool for tool in tools if tool.kind == "part-off" and deep_mm <= tool.max_depth_mm]
    return min(reach, key=lambda tool: tool.width_mm, default=None)


def _without_stock(stretches: tuple[Stretch, ...], raw_mm: float) -> tuple[Stretch, ...]:
    """The stretches that must stand free: what stays as the bar comes may be held."""
    kept = stretches
    while kept and min(kept[-1].diameter_from_mm, kept[-1].diameter_to_mm) >= raw_mm - SAME_MM:
        kept = kept[:-1]
    return kept
