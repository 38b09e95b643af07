"""What one person may lift with two hands: the revised lifting equation of 1991, for one task or several.

Limit = load constant x six multipliers of at most 1. Out: how far the hands are in front of the ankles. Hands: how high
they are. Travel: how far they go up or down. Twist: how far the load is turned away from in front. The equation is not
for one hand, sitting, kneeling, carrying, unstable or hot loads, slippery floors, heat or cold, or more than 8 hours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from steadyrest.shop.figure import Figure, Reason, because
from steadyrest.tables.lifting import Grip, Hours, LiftSystem, grip_share, lift_constants, often_table

MM = {"metric": 10.0, "us": 25.4}  # to a cm; to an inch
KG = {"metric": 1.0, "us": 0.45359237}
SHORT_MIN, MODERATE_MIN, MODERATE_REST = 60.0, 120.0, 0.3
OFTEN_MIN = 15.0  # lifting in bursts is counted over so many minutes


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift, judged at one of its ends.

    load_kg: lifted. out_mm, hands_mm: where the hands are at the end judged, from between the ankles and from the
    floor. start_hands_mm: how high they are where the lift begins. travel_mm: how far they go up or down. twist_deg:
    how far to the side. per_min: lifts a minute. hours: "short" up to one with as long a rest after it, "moderate" up
    to two with three tenths of a rest, "long" up to eight. grip: good, fair or poor.
    """

    load_kg: float
    out_mm: float
    hands_mm: float
    start_hands_mm: float
    travel_mm: float
    twist_deg: float
    per_min: float
    hours: Hours
    grip: Grip


@dataclass(frozen=True, slots=True)
class Shares:
    """What each condition leaves of the load constant, 0 to 1."""

    out: float
    hands: float
    travel: float
    twist: float
    often: float
    grip: float

    @property
    def product(self) -> float:
        """Of all six."""
        return self.out * self.hands * self.travel * self.twist * self.often * self.grip


@dataclass(frozen=True, slots=True)
class LiftJudged:
    """What may be lifted so. limit: in kg. index: load over limit; infinite where nothing may be lifted. cautions: what
    goes with it, the most telling first."""

    limit: Figure
    index: float
    shares: Shares
    cautions: tuple[Reason, ...]


def shares(lift: Lift, system: LiftSystem = "metric") -> Shares:
    """What each condition of a lift leaves.

    Args:
        lift: the lift. system: whose constants; the two are no exact conversions of each other.
    Returns: six multipliers at full precision; the manual rounds them to two places.
    Raises: ValueError: a negative length, rate or load.
    """
    if min(lift.load_kg, lift.out_mm, lift.hands_mm, lift.start_hands_mm, lift.travel_mm, lift.per_min) < 0:
        raise ValueError(f"shares: a length, rate or load is negative in {lift!r}")
    c, unit = lift_constants(system), MM[system]
    out, hands, travel = lift.out_mm / unit, lift.hands_mm / unit, lift.travel_mm / unit
    twist = abs(lift.twist_deg)
    return Shares(
        out=0.0 if out > c.horizontal_most else c.horizontal / max(out, c.horizontal),
        hands=0.0 if hands > c.height_most else 1 - c.height_slope * abs(hands - c.height),
        travel=0.0 if travel > c.travel_most else min(1.0, c.travel_base + c.travel / max(travel, c.travel_least)),
        twist=0.0 if twist > c.twist_most else 1 - c.twist_slope * twist,
        often=often_share(lift.per_min, lift.hours, low=_low(lift.start_hands_mm, system)),
        grip=grip_share(lift.grip, low=_low(lift.hands_mm, system)),
    )


def often_share(per_min: float, hours: Hours, *, low: bool) -> float:
    """What lifting so often leaves; straight between the rows of the table.

    Args:
        per_min: lifts a minute. hours: how long it goes on. low: the hands are low where the lift begins.
    Returns: the multiplier; 0 above the table.
    """
    table = often_table(hours, low=low)
    if per_min <= table[0][0]:
        return table[0][1]
    for (a, at_a), (b, at_b) in pairwise(table):
        if per_min <= b:
            return at_a + (at_b - at_a) * (per_min - a) / (b - a)
    return 0.0


def may_lift(lift: Lift, system: LiftSystem = "metric") -> LiftJudged:
    """What one person may lift so, and how the load compares.

    Args:
        lift: the lift. system: whose constants.
    Returns: limit, index, multipliers, cautions.
    Source: lifting-94-110. Checked in tests/checks/test_lifting.py.
    """
    c, left = lift_constants(system), shares(lift, system)
    limit_kg = c.load * KG[system] * left.product
    names = ("out", "hands", "travel", "twist", "often", "grip")
    worst = min(names, key=lambda name: getattr(left, name))
    why = (
        because("lifting.limit", source="lifting-94-110", most_kg=c.load * KG[system], share=left.product),
        because(f"lifting.worst_{worst}", share=float(getattr(left, worst))),
    )
    index = lift.load_kg / limit_kg if limit_kg > 0 else float("inf") if lift.load_kg > 0 else 0.0
    return LiftJudged(Figure(limit_kg, "kg", why), index, left, cautions(index, system))


def several(lifts: Sequence[Lift], system: LiftSystem = "metric") -> float:
    """The index of a job in which several different lifts take turns.

    Args:
        lifts: each with its own lifts a minute. system: whose constants.
    Returns: the heaviest task's own index, and for each further one what it adds by lifting oftener; infinite where
        nothing may be lifted. Low hands of any task so far count for how often, which is the careful reading.
    Raises: ValueError: no lift, or lifts that go on for different hours.
    Source: lifting-94-110, the composite index.
    """
    if not lifts or len({lift.hours for lift in lifts}) > 1:
        raise ValueError("several: give one or more lifts that go on for the same hours")
    judged = [(lift, may_lift(lift, system), _once(lift, system)) for lift in lifts]
    judged.sort(key=lambda one: -one[1].index)
    total = judged[0][1].index
    rate, low = judged[0][0].per_min, _low(judged[0][0].start_hands_mm, system)
    if any(once == float("inf") for *_, once in judged):
        return float("inf")
    for lift, _, once in judged[1:]:
        before = often_share(rate, lift.hours, low=low)
        rate, low = rate + lift.per_min, low or _low(lift.start_hands_mm, system)
        after = often_share(rate, lift.hours, low=low)
        if after <= 0 or before <= 0:
            return float("inf")
        total += once * (1 / after - 1 / before)
    return total


def _once(lift: Lift, system: LiftSystem) -> float:
    """The index of a lift, had it not to be done often."""
    left = replace(shares(lift, system), often=1.0).product * lift_constants(system).load * KG[system]
    return lift.load_kg / left if left > 0 else float("inf")


def _low(hands_mm: float, system: LiftSystem) -> bool:
    return hands_mm / MM[system] < lift_constants(system).height


def hours_of(stretches_min: Sequence[tuple[float, float]]) -> Hours:
    """How long lifting goes on, from stretches of lifting and the lighter work after each.

    Args:
        stretches_min: minutes of lifting, minutes of light work after it, in order.
    Returns: the longest that any of them counts for. Stretches whose rest is too short count as one.
    Raises: ValueError: more than 8 hours together, or a negative time.
    """
    total, longest = 0.0, 0.0
    for lifting, rest in stretches_min:
        if min(lifting, rest) < 0:
            raise ValueError(f"hours_of: negative minutes in {stretches_min!r}")
        total += lifting
        longest = max(longest, total)
        enough = total if total <= SHORT_MIN else MODERATE_REST * total if total <= MODERATE_MIN else float("inf")
        if rest >= enough:
            total = 0.0
    if longest > 480:
        raise ValueError("hours_of: the equation is not for more than 8 hours")
    return "short" if longest <= SHORT_MIN else "moderate" if longest <= MODERATE_MIN else "long"


def in_bursts(per_min: float, minutes: float) -> float:
    """Lifts a minute, spread over a quarter of an hour, of lifting that stops within it.

    Args:
        per_min: while it goes on. minutes: for which it goes on in every 15.
    Returns: lifts a minute.
    """
    return per_min * min(minutes, OFTEN_MIN) / OFTEN_MIN


def cautions(index: float, system: LiftSystem = "metric") -> tuple[Reason, ...]:
    """What goes with a lifting index.

    Args:
        index: load over limit. system: whose bounds.
    Returns: the cautions, the most telling first.
    """
    c = lift_constants(system)
    if index > c.index_most:
        first = because("lifting.caution_never", index=index)
    elif index > c.index_raised:
        first = because("lifting.caution_raised", index=index)
    else:
        first = because("lifting.caution_within")
    return (first, because("lifting.caution_scope"), because("lifting.caution_rules"))
