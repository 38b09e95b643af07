"""Counterbores and spotfaces: a wider, blind hole on the line of a narrower one that goes on from its bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from steadyrest.part.features.frame import angle_between_lines, dot, line_distance, minus
from steadyrest.part.features.holes import Hole
from steadyrest.part.features.turned import Slack, loose_angle
from steadyrest.shop.figure import Reason, because

SPOTFACE_DEPTH = 0.15  # of its diameter: shallower only makes a seat for a head; common practice, no source
OFF_LINE = 0.03  # of the diameter, between two holes on one line
BELOW_MM = 0.3  # beyond a sharp edge, how far apart the two walls may end


@dataclass(frozen=True, slots=True)
class Role:
    """What a hole is to another: the number of the narrower hole under it, and why it is called so."""

    under: int
    why: Reason


def roles_of(holes: Sequence[Hole], slack: Slack) -> dict[int, Role]:
    """Which holes are counterbores or spotfaces, by their place in the list.

    Args:
        holes: of one part. slack: how exactly they are known.
    Returns: roles; a plain hole has none.
    """
    roles: dict[int, Role] = {}
    for i, wide in enumerate(holes):
        if wide.through:
            continue
        under = [k for k, narrow in enumerate(holes) if k != i and goes_on_from(wide, narrow, slack)]
        if under:
            k = max(under, key=lambda k: holes[k].diameter_mm)
            shallow = wide.length_mm < SPOTFACE_DEPTH * wide.diameter_mm
            roles[i] = Role(k, because("features.spotface" if shallow else "features.counterbore"))
    return roles


def goes_on_from(wide: Hole, narrow: Hole, slack: Slack) -> bool:
    """Whether a narrower hole begins at the bottom of a wider one, on its line."""
    if narrow.diameter_mm > 0.97 * wide.diameter_mm:
        return False
    loose = 0.02 + loose_angle(wide.main, slack) + loose_angle(narrow.main, slack)
    if angle_between_lines(wide.main.axis, narrow.main.axis) > loose:
        return False
    if line_distance(narrow.at_mm, wide.at_mm, wide.main.axis) > OFF_LINE * wide.diameter_mm + slack.distance_mm:
        return False
    ahead = dot(minus(narrow.at_mm, wide.at_mm), wide.into)
    gap = ahead - wide.length_mm / 2 - narrow.length_mm / 2
    return ahead > 0 and abs(gap) < BELOW_MM + 2 * slack.rounding_mm
