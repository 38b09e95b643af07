"""What holds the work in one set-up: jaws on two sides that exist by then, a chuck, clamps, or a vacuum plate."""

from __future__ import annotations

from steadyrest.shop.figure import Reason, because
from steadyrest.stations.mill.set_ups.flat import flat_on
from steadyrest.stations.mill.set_ups.held import Hold, Lying
from steadyrest.stations.mill.set_ups.rounds import round_holds
from steadyrest.stations.mill.set_ups.vise import in_jaws
from steadyrest.tables.practice import rule


def hold_of(work: Lying) -> tuple[Hold | None, tuple[Reason, ...]]:
    """The best way to hold the work as it is now.

    Args:
        work: as it lies, seen from the spindle.
    Returns: the way, or None; and why the others will not do.
    """
    found: list[Hold] = []
    why_not: list[Reason] = []
    if work.grip is None:
        why_not.append(because("mill.grip_none", height_mm=work.height_mm, least_mm=rule("grip_least_mm")))
    else:
        for axis, own in zip((1, 2), work.bare, strict=True):
            jaws, no = in_jaws(work, axis, own=own)
            if jaws is not None:
                found.append(jaws)
            why_not.extend(no)
    # A round whose sawn ends would stand between plain jaws is better held by its round.
    for one in round_holds(work):
        if isinstance(one, Hold):
            found.append(one)
        else:
            why_not.append(one)
    if not any(hold.kind == "vise" and not hold.weak for hold in found):
        for one in flat_on(work):
            if isinstance(one, Hold):
                found.append(one)
            else:
                why_not.append(one)
    best = min(found, key=lambda hold: (hold.trouble, hold.finished, hold.width_mm), default=None)
    return best, tuple(dict.fromkeys(why_not))
