"""Short parts off one bar: fed through the spindle, turned, parted off, and the bar pulled on for the next.

And the second spindle, which takes the part over before it is parted off, so that its other end needs no hands.
"""

from __future__ import annotations

from dataclasses import replace

from steadyrest.shop.figure import Reason, because
from steadyrest.shop.floor import LatheLimits, Machine
from steadyrest.shop.work import Phase, Step
from steadyrest.stations import alone
from steadyrest.stations.answer import Ask
from steadyrest.stations.phases import Cycle, lot_phases, split
from steadyrest.stations.turn.clamping import part_off_tool
from steadyrest.stock.blank import Need
from steadyrest.tables.practice import rule

NOT_A_BAN = ("alone.first_part", "alone.not_worth")


def not_fed(ask: Ask, machine: Machine, limits: LatheLimits) -> tuple[Reason, ...]:
    """Every limit that keeps this bar from being fed through this lathe.

    Args:
        ask: with the bar in its state.
        machine: the lathe. limits: its limits.
    Returns: reasons; empty where it is fed.
    """
    bar_mm, raw_mm = ask.state.bar_mm, ask.state.blank.size_mm[0]
    longest_mm, rest_mm = bar_limits_mm(limits)
    found: list[Reason] = []
    if bar_mm > longest_mm:
        key = "turn.hand_bar_long" if by_hand(limits) else "turn.feeder_long"
        found.append(because(key, machine=machine.name, has_mm=bar_mm, allowed_mm=longest_mm))
    if raw_mm > limits.spindle_bore_mm:
        found.append(
            because("turn.feeder_thick", machine=machine.name, has_mm=raw_mm, allowed_mm=limits.spindle_bore_mm)
        )
    if part_off_tool(machine.tools, raw_mm) is None:
        found.append(because("turn.no_part_off", machine=machine.name, reach_mm=raw_mm / 2.0))
    if bar_mm - ask.state.blank.length_mm < rest_mm:
        found.append(because("turn.feeder_rest", has_mm=bar_mm, part_mm=ask.state.blank.length_mm, rest_mm=rest_mm))
    return tuple(found)


def by_hand(limits: LatheLimits) -> bool:
    """Whether there is no feeder: then the bar is pulled on for each part."""
    return limits.bar_feed_mm is None


def bar_limits_mm(limits: LatheLimits) -> tuple[float, float]:
    """The longest bar that goes through the spindle, and the shortest rest of it.

    Args:
        limits: of the lathe.
    Returns: of its feeder; where it has none, of a bar that somebody pulls on.
    """
    return limits.bar_feed_mm or (rule("hand_bar_mm"), rule("hand_bar_rest_mm"))


def pulled_on(ask: Ask, limits: LatheLimits) -> tuple[Reason, ...]:
    """What is said of how the bar comes, once it is fed."""
    return (because("turn.pulled" if by_hand(limits) else "turn.fed", count=float(per_bar(ask))),)


def without_spare(wants: Need) -> Need:
    """What a fed part needs: nothing to hold it by, because the bar behind it is held."""
    return replace(wants, sides=replace(wants.sides, spare_mm=0.0))


def per_bar(ask: Ask) -> int:
    """How many parts come out of one bar."""
    return max(ask.state.per_bar or ask.quantity, 1)


def fed_hands_s(ask: Ask, limits: LatheLimits, gauged: int, stops_s: float) -> float:
    """Hands for one fed part: measuring now and then, its share of loading a bar, pulling it on where nothing feeds it.

    Args:
        ask: what is asked. limits: of the lathe.
        gauged: sizes with limits. stops_s: of stops to measure in every part.
    Returns: s.
    """
    measuring_s = rule("fed_gauge_share") * gauged * ask.shop.habits.measure_s
    measuring_s += rule("hand_bar_pull_s") if by_hand(limits) else 0.0
    return measuring_s + stops_s + rule("bar_load_s") / per_bar(ask)


def fed_phases(
    cycle: Cycle, *, set_up_s: float, ask: Ask, who: tuple[str, ...], unwatched: bool, prove_out: float, changes: int
) -> tuple[Phase, ...]:
    """The phases of a lot that is fed: a bar runs by itself as far as it goes, then somebody loads the next.

    Args:
        cycle: of one part. set_up_s: making ready.
        ask: how many, how many to a bar. who: who can do it.
        unwatched: it may run with nobody there. prove_out: how many times as long the first part runs.
        changes: edges changed over the lot.
    Returns: the phases.
    """
    if not unwatched or changes or ask.quantity < 2:
        return lot_phases(
            cycle, set_up_s=set_up_s, quantity=ask.quantity, who=who, alone=False, prove_out=prove_out,
            edge_changes=changes,
        )  # fmt: skip
    quiet = Cycle(cycle.cut_s, cycle.travel_s, 0.0, cycle.estimate_spread)
    found: list[Phase] = []
    left, each = ask.quantity, per_bar(ask)
    first = lot_phases(
        quiet, set_up_s=set_up_s, quantity=min(left, each), who=who, alone=True, prove_out=prove_out, feeds_itself=True
    )
    found.extend(first)
    left -= min(left, each)
    bar = 2
    while left > 0:
        count = min(left, each)
        more = lot_phases(
            quiet, set_up_s=rule("bar_load_s"), quantity=count + 1, who=who, alone=True, prove_out=1.0,
            feeds_itself=True,
        )  # fmt: skip
        found.extend((replace(more[0], name=f"load bar {bar}"), replace(more[-1], name=f"bar {bar}")))
        left, bar = left - count, bar + 1
    return tuple(found)


def taken_over(ask: Ask, machine: Machine, one: Step, two: Step) -> Step:
    """Both sides as one step, where a second spindle takes the part over.

    Args:
        ask: what is asked. machine: the lathe.
        one, two: the sides, as if somebody turned the part round.
    Returns: the step; cutting on both spindles at once is not counted.
    """
    habits = ask.shop.habits
    cut, travel, hands = (one.split[n].value + two.split[n].value for n in range(3))
    over_s = rule("take_over_s")
    cycle = Cycle(cut, travel + over_s, max(hands - 2.0 * habits.handling_s, 0.0))
    banned = tuple(
        dict.fromkeys(r for r in (*one.unattended_why, *two.unattended_why) if r.key not in NOT_A_BAN)
    )  # fmt: skip
    set_up_s = one.phases[0].duration_s.value + machine.set_up_s * rule("second_side_share")
    who = ask.shop.operators(machine.id)
    unwatched = not banned
    if ask.state.fed:
        phases = fed_phases(
            cycle, set_up_s=set_up_s, ask=ask, who=who, unwatched=unwatched, prove_out=habits.prove_out, changes=0
        )
    else:
        phases = lot_phases(
            cycle, set_up_s=set_up_s, quantity=ask.quantity, who=who, alone=unwatched, prove_out=habits.prove_out
        )
    runs_alone, why_not = alone.settled(phases, banned, ask.quantity)
    given = dict(two.holding.given)
    second = because(
        "turn.hold_second", diameter_mm=given["diameter_mm"], jaws_mm=given["jaws_mm"], reach_mm=given["reach_mm"]
    )
    return replace(
        one,
        phases=phases,
        makes=(*one.makes, *two.makes),
        limits=tuple(dict.fromkeys((*one.limits, *two.limits))),
        cautions=tuple(dict.fromkeys((*one.cautions, *two.cautions))),
        hold_points=(*one.hold_points, *two.hold_points),
        unattended=runs_alone,
        unattended_why=why_not,
        tools=tuple(dict.fromkeys((*one.tools, *two.tools))),
        tool_s=tuple(
            (number, sum(s for step in (one, two) for n, s in step.tool_s if n == number))
            for number in sorted({n for step in (one, two) for n, _ in step.tool_s})
        ),
        split=split(cycle, habits.prove_out),
        notes=tuple(dict.fromkeys((*one.notes, second, *two.notes))),
    )
