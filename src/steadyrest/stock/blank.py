"""What the blank must be: diameter and length, which end is turned first, and what the chuck holds meanwhile.

A side is a stretch of the part that is turned in one clamping, from one end inwards. The first side grips raw bar
where the second will be; the second grips what the first has finished. Where that leaves too little to hold, the blank
is made longer by what is missing, which is parted or faced off at the end.
"""

from __future__ import annotations

from dataclasses import dataclass

from steadyrest.shop.floor import Habits
from steadyrest.shop.part import Profile, Stretch
from steadyrest.tables.practice import rule

SAME_MM = 0.05


@dataclass(frozen=True, slots=True)
class Sides:
    """How the part is turned from two ends.

    from_high: the first side is the end with the largest coordinate. first, second: the stretches of each side, from
    the end inwards. spare_mm: length of the blank beyond the part at the second end, to hold by, parted or faced off.
    """

    from_high: bool
    first: tuple[Stretch, ...]
    second: tuple[Stretch, ...]
    spare_mm: float

    @property
    def first_mm(self) -> float:
        return sum(stretch.length_mm for stretch in self.first)

    @property
    def second_mm(self) -> float:
        return sum(stretch.length_mm for stretch in self.second)


@dataclass(frozen=True, slots=True)
class Need:
    """What one blank must have: the largest finished diameter, the length it is cut to, and how it will be held."""

    finished_mm: float
    length_mm: float
    sides: Sides


def need(profile: Profile, habits: Habits, *, as_stock: bool = False) -> Need:
    """What one blank must have.

    Args:
        profile: the part as turned.
        habits: grip length, facing.
        as_stock: the largest diameter is left as the bar comes.
    Returns: finished diameter, blank length with facing on both ends (and the spare, if any), and the sides.
    """
    found = sides(profile, habits, as_stock=as_stock)
    length_mm = profile.length_mm + 2.0 * habits.facing_mm + found.spare_mm
    return Need(profile.largest_mm, length_mm, found)


def sides(profile: Profile, habits: Habits, *, as_stock: bool = False) -> Sides:
    """Which end is turned first, and how far.

    Args:
        profile: the part as turned.
        habits: grip length, facing.
        as_stock: the largest diameter is left as the bar comes, and can be gripped in both clampings.
    Returns: the two sides.
    """
    outside = profile.outside
    largest = profile.largest_mm
    tops = [i for i, stretch in enumerate(outside) if stretch.largest_mm >= largest - SAME_MM]
    # A taper that rises to the largest diameter is turned from the end it rises from.
    start = tops[0] + (outside[tops[0]].diameter_from_mm < largest - SAME_MM)
    end = max(tops[-1] + 1 - (outside[tops[-1]].diameter_to_mm < largest - SAME_MM), start)
    low, middle, high = outside[:start], outside[start:end], outside[end:]
    from_high = _length(high) >= _length(low)
    longer, shorter = (high, low) if from_high else (low, high)
    longer = longer[::-1] if from_high else longer
    inward = middle[::-1] if from_high else middle
    rest = shorter if from_high else shorter[::-1]
    # In the jaws, and clear of them; the facing allowance of the far end may be held by.
    grip_mm = habits.grip_mm + rule("chuck_clearance_mm") - habits.facing_mm
    held_mm = _length(rest) + (_left_as_stock_mm(inward, largest) if as_stock else 0.0)
    whole = Sides(from_high, (*longer, *inward), rest, max(grip_mm - held_mm, 0.0))
    shared_mm = max(grip_mm - _length(rest) - _length(middle), 0.0)
    # The largest step may wait for the second side, if the first leaves enough to hold that by.
    if shared_mm < whole.spare_mm and _length(longer) >= habits.grip_mm * rule("turned_grip_share"):
        return Sides(from_high, longer, (*rest, *inward[::-1]), shared_mm)
    return whole


def _left_as_stock_mm(inward: tuple[Stretch, ...], largest_mm: float) -> float:
    """Length at the inner end of the first side that stays as the bar comes, so that it may be gripped meanwhile."""
    kept_mm = 0.0
    for stretch in reversed(inward):
        if min(stretch.diameter_from_mm, stretch.diameter_to_mm) < largest_mm - SAME_MM:
            break
        kept_mm += stretch.length_mm
    return kept_mm


def skin_mm(condition: str) -> float:
    """What must at least be turned off a bar's diameter so that it cleans up.

    Args:
        condition: as in Piece.
    Returns: mm on the diameter.
    """
    return rule("skin_rolled_mm") if condition == "hot rolled" else rule("skin_bright_mm")


def _length(stretches: tuple[Stretch, ...]) -> float:
    return sum(stretch.length_mm for stretch in stretches)
